//! Money that is known, and what is still to be asked for. Nothing is made up in its place.

use crate::report::{Text, Value};

/// A sum of money.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sum {
    /// What of it is known.
    pub known: f64,
    /// What has no price yet, in words: `tap Tr 22x5`.
    pub open: Vec<String>,
}

impl Sum {
    /// A sum that is known.
    pub const fn known(amount: f64) -> Self {
        Self { known: amount, open: Vec::new() }
    }
    /// A price that somebody has to be asked for.
    pub fn open(what: impl Into<String>) -> Self {
        Self { known: 0.0, open: vec![what.into()] }
    }
    /// A price, or the question for it.
    pub fn of(price: Option<f64>, what: &str) -> Self {
        price.map_or_else(|| Self::open(what), Self::known)
    }
    /// Both together.
    #[must_use]
    pub fn plus(mut self, other: Self) -> Self {
        self.known += other.known;
        self.open.extend(other.open);
        self
    }
    /// One of so many equal shares.
    pub(super) fn share(&self, of: f64) -> Self {
        Self { known: self.known / of, open: self.open.clone() }
    }
    /// Whether all of it is known.
    pub const fn closed(&self) -> bool {
        self.open.is_empty()
    }
    /// What is open, to follow the known part in a sentence: ` + tap Tr 22x5`, or nothing.
    pub fn rest(&self) -> String {
        self.open.iter().map(|what| format!(" + {what}")).collect()
    }
    /// In a cell: `EUR 48`, or `EUR 48 + tap Tr 22x5`.
    pub fn value(&self, currency: &str) -> Value {
        let money = || Value::Money(self.known, currency.to_owned());
        if self.closed() {
            return money();
        }
        Value::Said(if self.known > 0.0 {
            Text::new().v(money()).s(self.rest())
        } else {
            Text::from(format!("price of {}", self.open.join(" + ")))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::show;
    use flankwise_thread::Unit;

    #[test]
    fn what_is_open_is_named_and_adds_nothing() {
        let sum = Sum::known(48.0).plus(Sum::of(None, "the tap")).plus(Sum::of(Some(2.0), "oil"));
        assert_eq!((sum.known, sum.closed()), (50.0, false));
        assert_eq!(show::value(&sum.value("EUR"), Unit::Mm), "EUR 50 + the tap");
        assert_eq!(show::value(&Sum::open("the tap").value("EUR"), Unit::Mm), "price of the tap");
    }
}
