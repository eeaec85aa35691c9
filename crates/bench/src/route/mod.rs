//! Route: the ways of making it, side by side.

use crate::fit::Fit;
use crate::job::Job;
use crate::report::{Outcome, Section};

/// A way of making the part.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Stable key: `single-point`, `bought-tap`, `made-tap`, `bought-part`.
    pub key: &'static str,
    /// Name in words.
    pub name: String,
    /// Hours of own work.
    pub hours: f64,
    /// Money to spend on tools, stock and parts.
    pub outlay: f64,
    /// Hours at the rate, plus outlay.
    pub cost: f64,
    /// Days until the part is in hand.
    pub days: f64,
    /// What could go wrong, and how late.
    pub risk: String,
    /// What must be bought.
    pub buy: Vec<String>,
    /// Why it cannot be done, if so.
    pub impossible: Option<String>,
}

/// All ways, and the one recommended.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Ways, cheapest possible first, impossible last.
    pub ways: Vec<Way>,
    /// Currency.
    pub currency: String,
    /// Where hours come from.
    pub detail: Vec<crate::report::Block>,
}

/// Compares ways.
pub fn work(_fit: &Fit, _job: &Job) -> Outcome<Route> {
    todo!()
}

impl Route {
    /// Says itself.
    pub fn section(&self) -> Section {
        todo!()
    }
}
