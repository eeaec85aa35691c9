//! What would spoil the work, how late it shows, and what is lost then.
//!
//! The chances are choices of this project, written where each way is described; no statistics of small shops were
//! found. They can be set aside by a person's own (`[[way]]`, `chance`).

use super::price::Sum;
use super::time::{Item, Phase};
use crate::job::OwnWay;
use flankwise_thread::Source;

/// Origin of the chances.
pub const CHANCES: Source =
    Source::choice("no statistics of small shops were found; set your own with [[way]] chance");

/// Something that can go wrong, before what it costs is known.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Threat {
    pub what: &'static str,
    /// The work up to the end of this is lost.
    pub after: Phase,
    /// Chance, each time.
    pub chance: f64,
    /// Stock or bought parts that are lost with it.
    pub material: Sum,
    /// Of the work on tools, done once however many pieces: the share that is lost. None for what happens to a piece.
    pub of_tools: Option<f64>,
}

impl Threat {
    /// Something that spoils one piece.
    pub const fn piece(what: &'static str, after: Phase, chance: f64, material: Sum) -> Self {
        Self { what, after, chance, material, of_tools: None }
    }
}

/// Something that can go wrong, with what is lost then.
#[derive(Clone, Debug, PartialEq)]
pub struct Mishap {
    /// What happens.
    pub what: &'static str,
    /// When it shows.
    pub when: &'static str,
    /// Chance, each time.
    pub chance: f64,
    /// Hours of work lost when it happens.
    pub hours: f64,
    /// Material lost when it happens.
    pub money: Sum,
    /// How many times it can happen: once for each piece, or once.
    pub times: f64,
}

/// What can go wrong on a way.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Risk {
    /// One by one, in the order of the work.
    pub mishaps: Vec<Mishap>,
}

impl Risk {
    /// Weighs threats by the work that is done before them.
    pub(super) fn weigh(threats: &[Threat], items: &[Item], pieces: f64) -> Self {
        let mishaps = threats
            .iter()
            .map(|t| {
                let once = t.of_tools.is_some();
                let spent: f64 = items
                    .iter()
                    .filter(|i| i.phase <= t.after && i.each_piece != once)
                    .map(|i| i.hours)
                    .sum();
                let times = if once { 1.0 } else { pieces };
                let hours = spent * t.of_tools.unwrap_or(1.0) / times;
                Mishap {
                    what: t.what,
                    when: t.after.when(),
                    chance: t.chance,
                    hours,
                    money: t.material.clone(),
                    times,
                }
            })
            .collect();
        Self { mishaps }
    }

    /// The same with the person's own figures: hours lost in the ratio of the hours given to those reckoned; a
    /// chance given stands for all mishaps, each at what the worst of them costs.
    pub(super) fn with_own(mut self, own: &OwnWay, reckoned: f64) -> Self {
        if let Some(hours) = own.hours.filter(|_| reckoned > 0.0) {
            for m in &mut self.mishaps {
                m.hours *= hours / reckoned;
            }
        }
        if let Some(chance) = own.chance {
            let worst = |of: fn(&Mishap) -> f64| self.mishaps.iter().map(of).fold(0.0, f64::max);
            let (hours, times) = (worst(|m| m.hours), worst(|m| m.times));
            let mut money = Sum::known(worst(|m| m.money.known));
            for what in self.mishaps.iter().flat_map(|m| &m.money.open) {
                if !money.open.contains(what) {
                    money.open.push(what.clone());
                }
            }
            self.mishaps = vec![Mishap {
                what: "spoiled, by your own chance",
                when: "at the worst moment",
                chance,
                hours,
                money,
                times,
            }];
        }
        self
    }

    /// Chance that any of the pieces, or the tools for them, is spoiled at least once: mishaps and pieces taken as
    /// independent.
    pub fn chance(&self) -> f64 {
        1.0 - self.mishaps.iter().map(|m| (1.0 - m.chance).powf(m.times)).product::<f64>()
    }
    /// Hours to reckon with for work done again: each mishap's chance times what is lost then, all pieces.
    pub fn hours(&self) -> f64 {
        self.mishaps.iter().map(|m| m.chance * m.hours * m.times).sum()
    }
    /// Material to reckon with, likewise.
    pub fn material(&self) -> f64 {
        self.mishaps.iter().map(|m| m.chance * m.money.known * m.times).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::WayKind;

    fn item(phase: Phase, hours: f64, each_piece: bool) -> Item {
        Item { what: String::new(), hours, phase, each_piece, source: CHANCES }
    }

    fn risk() -> Risk {
        let items = [
            item(Phase::Tools, 6.0, false),
            item(Phase::Body, 4.0, true),
            item(Phase::Thread, 2.0, true),
            item(Phase::After, 1.0, true),
        ];
        let threats = [
            Threat { of_tools: Some(0.5), ..Threat::piece("tool", Phase::Tools, 0.1, Sum::known(5.0)) },
            Threat::piece("early", Phase::Body, 0.1, Sum::known(20.0)),
            Threat::piece("late", Phase::After, 0.2, Sum::known(20.0)),
        ];
        Risk::weigh(&threats, &items, 2.0)
    }

    /// Two pieces: 4 h of body is 2 h a piece; all of a piece is 3.5 h; half of the tools 3 h.
    #[test]
    fn what_shows_late_costs_more() {
        let risk = risk();
        assert_eq!(risk.mishaps.iter().map(|m| m.hours).collect::<Vec<_>>(), [3.0, 2.0, 3.5]);
        // The tools once, either piece early or late.
        assert!((risk.chance() - (1.0 - 0.9 * (0.9_f64 * 0.8).powi(2))).abs() < 1e-12);
        assert!((risk.hours() - (0.1 * 3.0 + 2.0 * (0.1 * 2.0 + 0.2 * 3.5))).abs() < 1e-12);
        assert!((risk.material() - (0.1 * 5.0 + 2.0 * 0.3 * 20.0)).abs() < 1e-12);
    }

    #[test]
    fn an_own_chance_stands_at_the_worst_moment_and_own_hours_scale_what_is_lost() {
        let own = OwnWay { hours: Some(26.0), chance: Some(0.5), ..OwnWay::of(WayKind::Die) };
        let risk = risk().with_own(&own, 13.0);
        assert_eq!(risk.mishaps.len(), 1);
        assert!((risk.chance() - 0.75).abs() < 1e-12, "one of two");
        assert!((risk.hours() - 0.5 * 7.0 * 2.0).abs() < 1e-12);
    }
}
