//! The ranking as every face shows it.

use super::Identity;
use super::scales::{MAKERS_SOURCE, WEAR_SOURCE};
use crate::report::{Block, Figure, Mark, Row, Section, StageName, Table, Text, Value, columns};
use flankwise_thread::Source;

/// Candidates shown.
const SHOWN: usize = 8;

impl Identity {
    /// Says itself.
    pub fn section(&self) -> Section {
        let mut blocks = Vec::new();
        if let Some(story) = &self.story {
            let fate = match story.stands {
                Some(true) => "stands",
                Some(false) => "does not hold",
                None => "cannot be compared",
            };
            let text = format!("The story, “{}”, {fate}: {}.", story.told, story.reasons.join("; "));
            blocks.push(Block::Text(text.into()));
        }
        if !self.candidates.is_empty() {
            blocks.push(Block::Table(self.candidate_table()));
        }
        if let Some(table) = self.voice_table() {
            blocks.push(Block::Table(table));
        }
        if !self.rivals.is_empty() {
            blocks.push(Block::Table(self.rival_table()));
        }
        if !self.next.is_empty() {
            blocks.push(Block::Table(self.next_table()));
        }
        if self.considered > 0 {
            blocks.push(Block::Figures("How it was found".into(), self.figures()));
        }
        Section { stage: StageName::Identity, answer: self.answer(), blocks }
    }

    /// The answer where no thread considered explains the readings better than some other would.
    fn none_of_these(&self) -> Option<Text> {
        let first = self.candidates.first().filter(|_| !self.chosen_by_hand)?;
        (self.other_probability > first.probability).then(|| {
            Text::new()
                .s("None of the threads considered: ")
                .v(Value::Share(self.other_probability))
                .s(format!(". The likeliest of them, {}, has ", first.thread))
                .v(Value::Share(first.probability))
                .s(".")
        })
    }

    fn answer(&self) -> Text {
        let text = self.none_of_these().unwrap_or_else(|| self.named());
        let unsure = self.candidates.first().is_some_and(|c| c.probability < super::SURE);
        match (&self.advice, self.next.first()) {
            (Some(advice), _) => text.s(format!(" {advice}")),
            (None, Some(next)) if unsure => text.s(format!(" To be surer: {}.", next.measure)),
            _ => text,
        }
    }

    /// The thread to go on with, and how likely it is.
    fn named(&self) -> Text {
        let mut text = Text::new().s(self.thread.to_string());
        if self.thread.hand == flankwise_thread::Hand::Right {
            text = text.s(", right-hand");
        } else {
            text = text.s(", left-hand");
        }
        text = match self.candidate() {
            Some(candidate) => text.s(": ").v(Value::Share(candidate.probability)),
            None if self.candidates.is_empty() => text.s(": nothing has been measured"),
            None => text.s(": not among what the readings speak for"),
        };
        if let Some(also) = self.candidate().map(|c| &c.also).filter(|a| !a.is_empty()) {
            let names = also.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
            text = text.s(format!(", which is also {names}"));
        }
        if self.chosen_by_hand {
            text = text.s(", chosen by hand");
        }
        text = text.s(".");
        if let Some(candidate) = self.candidate().filter(|c| !c.listed) {
            let near = candidate.nearest.iter().map(ToString::to_string).collect::<Vec<_>>().join(" and ");
            text = text.s(" Off the standard series");
            text = if near.is_empty() { text.s(".") } else { text.s(format!("; the series has {near}.")) };
        }
        text
    }

    fn candidate_table(&self) -> Table {
        let rows = self
            .candidates
            .iter()
            .take(SHOWN)
            .enumerate()
            .map(|(i, c)| Row {
                cells: vec![
                    Value::Word(c.thread.to_string()),
                    Value::Share(c.probability),
                    Value::Word(super::voice::hand(c.thread.hand).to_owned()),
                    Value::Word((if c.listed { "listed" } else { "off the series" }).to_owned()),
                    Value::Word(strongest_against(c, i == 0)),
                ],
                mark: if i == 0 {
                    Mark::Best
                } else if c.probability < 0.01 {
                    Mark::Faint
                } else {
                    Mark::Plain
                },
            })
            .chain((self.other_probability > 0.0).then(|| Row {
                cells: vec![
                    Value::Word("none of these".into()),
                    Value::Share(self.other_probability),
                    Value::None,
                    Value::None,
                    Value::None,
                ],
                mark: if self.none_of_these().is_some() { Mark::Best } else { Mark::Faint },
            }))
            .collect();
        Table {
            key: "candidates",
            title: "Candidates".into(),
            columns: columns(&[
                ("thread", "Thread"),
                ("probability", "Probability"),
                ("hand", "Hand"),
                ("series", "Series"),
                ("against", "What speaks most against it"),
            ]),
            rows,
            source: Some(WEAR_SOURCE),
        }
    }

    fn voice_table(&self) -> Option<Table> {
        let first = self.candidates.first()?;
        let rows = first
            .voices
            .iter()
            .map(|v| Row {
                cells: vec![
                    Value::Word(v.evidence.clone()),
                    Value::Word(v.words.clone()),
                    v.deviations.map_or(Value::None, |d| Value::Number(d, 1)),
                ],
                mark: if v.deviations.is_some_and(|d| d.abs() > 3.5) { Mark::Bad } else { Mark::Plain },
            })
            .collect();
        Some(Table {
            key: "evidence",
            title: format!("How the evidence goes with {}", first.thread),
            columns: columns(&[
                ("evidence", "Evidence"),
                ("words", "Against this thread"),
                ("deviations", "Standard deviations outside"),
            ]),
            rows,
            source: None,
        })
    }

    fn rival_table(&self) -> Table {
        let rows = self
            .rivals
            .iter()
            .map(|r| Row {
                cells: vec![
                    Value::Word(r.thread.to_string()),
                    Value::Share(r.probability),
                    Value::Word(r.consequence.clone()),
                ],
                mark: Mark::Plain,
            })
            .collect();
        Table {
            key: "rivals",
            title: "If it were taken for a rival".into(),
            columns: columns(&[
                ("thread", "Thread"),
                ("probability", "Probability"),
                ("consequence", "What happens"),
            ]),
            rows,
            source: Some(Source::derived("basic sizes of both threads")),
        }
    }

    fn next_table(&self) -> Table {
        let rows = self
            .next
            .iter()
            .enumerate()
            .map(|(i, n)| Row {
                cells: vec![
                    Value::Word(n.measure.clone()),
                    Value::Bits(n.information_bits),
                    Value::Number(n.minutes, 1),
                    Value::Word(n.decides.clone()),
                ],
                mark: if i == 0 { Mark::Best } else { Mark::Plain },
            })
            .collect();
        Table {
            key: "next",
            title: "What to measure next".into(),
            columns: columns(&[
                ("measure", "Measurement"),
                ("information", "Tells"),
                ("minutes", "Minutes"),
                ("decides", "Decides"),
            ]),
            rows,
            source: Some(Source::practice("minutes; information as mutual information (Lindley 1956)")),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let considered = i64::try_from(self.considered).unwrap_or(i64::MAX);
        vec![
            Figure::new(
                "considered",
                "threads considered",
                Value::Count(considered),
                Source::choice("listed sizes, and preferred diameters with preferred pitches of each form"),
            ),
            Figure::new(
                "other_probability",
                "none of these",
                Value::Share(self.other_probability),
                Source::choice("diameter and pitch log-uniform, any form; prior 3 %"),
            ),
            Figure::new("tolerance", "maker's tolerance", Value::Word("by pitch".into()), MAKERS_SOURCE),
            Figure::new("wear", "wear", Value::Word("one-sided, by condition".into()), WEAR_SOURCE),
        ]
    }
}

/// Log-likelihood from which evidence speaks against a candidate: odds of about 3 to 1. Chosen here.
const AGAINST: f64 = -1.0;

/// Standard deviations outside what the thread allows up to which a reading goes with it, however well another suits it.
const WITHIN: f64 = 1.0;

/// The evidence that costs a candidate most against the one that it suits best; of one that nothing is against and that
/// is not the first, why it is not.
fn strongest_against(candidate: &super::Candidate, first: bool) -> String {
    let costly = candidate.voices.iter().filter(|v| v.log_likelihood < AGAINST);
    let outside = costly.clone().filter(|v| v.deviations.is_none_or(|d| d.abs() > WITHIN));
    match outside.min_by(|a, b| a.log_likelihood.total_cmp(&b.log_likelihood)) {
        Some(voice) if voice.deviations.is_some() => format!("{}, {}", voice.evidence, voice.words),
        Some(voice) => format!("{}: {}", voice.evidence, voice.words),
        None if first || candidate.voices.is_empty() => String::new(),
        None if costly.count() > 0 => "nothing read; another suits the readings better".to_owned(),
        None => "nothing read; met less often".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::identity::{Candidate, Voice};

    /// A reading that is as made speaks against nothing, though another thread suits it better still.
    #[test]
    fn what_goes_with_a_thread_does_not_speak_against_it() {
        let voice = |deviations, log_likelihood, words: &str| Voice {
            evidence: "outside diameter 19.86 mm".to_owned(),
            deviations,
            log_likelihood,
            words: words.to_owned(),
        };
        let candidate = |voices| Candidate {
            thread: "25/32-10 ACME-LH".parse().expect("a thread"),
            also: Vec::new(),
            probability: 0.2,
            listed: false,
            nearest: Vec::new(),
            voices,
        };
        let said = |voices| strongest_against(&candidate(voices), false);
        let as_made = voice(Some(0.3), -2.0, "0.02 mm over 19.84 mm: as made");
        assert_eq!(said(vec![as_made.clone()]), "nothing read; another suits the readings better");
        let outside = voice(Some(2.5), -1.5, "only if it was read large");
        assert!(said(vec![as_made, outside]).ends_with("only if it was read large"));
        assert_eq!(said(vec![voice(Some(0.0), 0.0, "as made")]), "nothing read; met less often");
    }
}
