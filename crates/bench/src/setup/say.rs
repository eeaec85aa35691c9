//! What the setup says.

use super::{HalfNuts, Layout, Room, Setup, Stakes, Train, speed};
use crate::report::{
    Block, Column, Figure, Fine, Mark, Row, Section, StageName, Table, Text, Value, capital, columns,
};
use flankwise_thread::Source;

impl Setup {
    /// Which limit sets a speed, in words.
    fn governs(&self, rpm: f64) -> &'static str {
        match self.rpm_reaction {
            _ if speed::too_fast(rpm, self.rpm_surface) => "it is the slowest, and too fast for the tool",
            _ if self.room == Room::Unknown => "it is the slowest, until the room at the end is said",
            // The thread is cut outwards: what can hit the end is the carriage on its way back.
            Some(reaction) if reaction < self.rpm_surface && self.cut_outwards => {
                "the way back to the inner end sets it: the carriage must stop in the room there"
            }
            Some(reaction) if reaction < self.rpm_surface => "the room to stop in sets it",
            _ => "the surface speed for threading sets it",
        }
    }

    /// Says itself.
    pub fn section(&self) -> Section {
        let mut answer = Text::new();
        answer = match self.train() {
            None if self.trains.first().is_some_and(|t| t.meshes) => {
                answer.s("No train of the gears on hand comes near enough to this lead")
            }
            None => answer.s("No train of the gears on hand fits"),
            Some(train) => {
                let mut words = train.words();
                if let Some(setting) = &train.gearbox {
                    words += &format!(", gearbox at {setting}");
                }
                let text = answer.s(capital(&words));
                if train.error_ppm == 0.0 {
                    text.s(", exact")
                } else {
                    text.s(", lead off by ").v(Value::Ppm(train.error_ppm))
                }
            }
        };
        answer = match (self.rpm, self.room) {
            (Some(rpm), _) => {
                answer.s(". Run at ").v(Value::Rpm(rpm)).s(format!("; {}. ", self.governs(rpm)))
            }
            (None, Room::Unknown) => answer.s(". No speed before the room at the end is said. "),
            (None, _) => answer.s(". No speed: you could not stop in the room there is. "),
        };
        answer = match &self.half_nuts {
            HalfNuts::Anywhere => answer.s("Half-nuts may be closed anywhere."),
            HalfNuts::Marks(_, words) => answer.s(format!("Close the half-nuts {words}.")),
            HalfNuts::Shift(s) => answer.s("Close the half-nuts only at multiples of ").len(*s).s("."),
            HalfNuts::KeepClosed => answer.s("Keep the half-nuts closed throughout."),
        };
        let speed = |rpm| {
            let source = Source::derived("highest of the lathe's speeds within both limits");
            Figure::new("rpm", "spindle speed", Value::Rpm(rpm), source).symbol("n")
        };
        let mut figures: Vec<Figure> = self.rpm.map(speed).into_iter().collect();
        let error = |error| {
            let source = Source::derived("error of the train times the thread's length");
            Figure::new(
                "error_over_length",
                "error of lead over the whole thread",
                Value::Length(error, Fine::Gauge),
                source,
            )
            .formula("error × length of thread")
        };
        figures.extend(self.error_over_length.map(error));
        figures.push(Figure::new(
            "searched",
            "trains that the gears on hand make",
            Value::Count(self.searched as i64),
            Source::derived("every choice of drivers and driven gears, at every gearbox setting"),
        ));
        figures.extend(self.train().and_then(|t| t.layout.as_ref()).into_iter().flat_map(layout_figures));
        let mut blocks = vec![
            Block::Figures(String::new(), figures),
            Block::Table(trains_table(&self.trains, Some(self.stakes))),
        ];
        blocks.extend(self.detail.iter().cloned());
        Section { stage: StageName::Setup, answer, blocks }
    }
}

/// Where the first train stands.
fn layout_figures(layout: &Layout) -> Vec<Figure> {
    const PLANE: Source =
        Source::derived("shafts m (z1 + z2) / 2 apart, tips m (z + 2) across (ISO 53, from memory)");
    let room = |room| {
        let what = "least room at its tightest place, gears to shafts and pins to the slot's ends";
        Figure::new("gear_room", what, Value::Length(room, Fine::Coarse), PLANE)
    };
    let mut figures: Vec<Figure> = layout.room.map(room).into_iter().collect();
    if let Some(arm) = layout.arm {
        figures.push(Figure::new(
            "arm",
            "banjo's arm, off the line from lead screw to stud",
            Value::Angle(arm, 0),
            PLANE,
        ));
    }
    figures
}

/// Trains as a table; where a part is known, with what their error comes to in it.
pub fn trains_table(trains: &[Train], stakes: Option<Stakes>) -> Table {
    let with_box = trains.iter().any(|t| t.gearbox.is_some());
    let with_idler = trains.iter().any(|t| !t.idlers.is_empty());
    let mut columns = columns(&[("drivers", "Drivers"), ("driven", "Driven")]);
    if with_idler {
        columns.push(Column::new("idler", "Idlers"));
    }
    if with_box {
        columns.push(Column::new("gearbox", "Gearbox"));
    }
    columns.extend([Column::new("lead", "Lead"), Column::new("error", "Error")]);
    if stakes.is_some() {
        columns.extend([Column::new("off", "Over the nut"), Column::new("stakes", "Here")]);
    }
    columns.extend([Column::new("meshes", "Fits"), Column::new("why_not", "Why not")]);
    let list = |gears: &[u32]| Value::Word(gears.iter().map(u32::to_string).collect::<Vec<_>>().join(" · "));
    let rows = trains
        .iter()
        .enumerate()
        .map(|(i, t)| {
            let mut cells = vec![list(&t.drivers), list(&t.driven)];
            if with_idler {
                cells.push(list(&t.idlers.iter().map(|i| i.teeth).collect::<Vec<_>>()));
            }
            if with_box {
                cells.push(t.gearbox.clone().map_or(Value::None, Value::Word));
            }
            cells.extend([Value::Length(t.lead, Fine::Gauge), Value::Ppm(t.error_ppm)]);
            if let Some(stakes) = stakes {
                cells.extend([Value::Length(stakes.off(t), Fine::Gauge), Value::Word(stakes.words(t))]);
            }
            cells.extend([Value::Yes(t.meshes), Value::Said(t.why_not.clone())]);
            let mark = match i {
                _ if !t.meshes || stakes.is_some_and(|s| !s.serves(t)) => Mark::Bad,
                0 => Mark::Best,
                _ => Mark::Plain,
            };
            Row { cells, mark }
        })
        .collect();
    Table {
        key: "trains",
        title: "Gear trains, from the stud to the lead screw; drivers and driven mesh in the order shown"
            .into(),
        columns,
        rows,
        source: Some(super::RATIO_SOURCE),
    }
}
