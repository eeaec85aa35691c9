//! Fit: sizes for this mate, and the body of the part.
//!
//! The mate's readings become what is missing of its thread at each place ([`mate`]); the part is made so that the
//! tightest place has the play that is wanted (`sizes`); the play elsewhere follows, beside that of a part made
//! to the book. Then the `body`, the `load` on the thread, and the order of `operations`.

pub mod keys;
pub mod lead;
pub mod mate;
pub mod play;
pub mod press;
pub mod record;
pub mod strength;
pub mod travel;

mod body;
pub(crate) mod caution;
mod classes;
pub mod column;
mod contradiction;
mod course;
mod crests;
mod engaged;
mod figures;
mod flanks;
mod hold;
mod holes;
mod kinds;
mod load;
mod operations;
pub mod outline;
mod pairs;
mod say;
mod sizes;
pub mod steps;
mod stock;
mod wear;

pub use body::nominal_of;
pub use course::Travelled;
pub use engaged::Engaged;
pub use kinds::{RELEASE, RELEASE_SOURCE};
pub(crate) use operations::RUN_OUT;
pub use sizes::default_play;
pub use stock::bar_for;
pub(crate) use stock::{finished_mm3, stock_kg};
pub use wear::Wear;

use crate::evidence::Evidence;
use crate::identity::{Identity, SURE};
use crate::job::{Job, Make, Words};
use crate::material::{self, Material};
use crate::report::{Block, Need, Note, Outcome, Step, Text, Value};
use flankwise_thread::limits::{ElementLimits, Extra};
use flankwise_thread::profile::Basic;
use flankwise_thread::{Element, Length, Limits, Source, Thread};
use mate::Mate;
pub use travel::Spot;

/// A size with its permitted range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// What to aim at.
    pub aim: Length,
    /// Smallest permitted.
    pub min: Length,
    /// Largest permitted.
    pub max: Length,
}

/// The mate at one place of its travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Place along the mate from its end.
    pub place: Length,
    /// The mate's pitch diameter there; the basic one for upright flanks.
    pub mate_pitch_diameter: Length,
    /// Its standard uncertainty; for upright flanks that of the thread thickness.
    pub u: Length,
    /// Axial thickness of the mate's ridge at the basic pitch line.
    pub thickness: Length,
    /// Axial play of the whole part made to the aimed sizes, its middle there or as near as its travel comes.
    pub play: Length,
    /// Standard uncertainty of the play, the made part taken as exact.
    pub u_play: Length,
    /// Axial play there of a part made to the book's middle of tolerance; none where there is no book.
    pub play_by_book: Option<Length>,
}

/// How the part comes by its thread, which settles who answers for its sizes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Making {
    /// A tool is fed to these sizes, and can take more.
    #[default]
    Cut,
    /// A tap or die gives them, and takes no more.
    Tapped,
    /// It comes finished, in the limits of the book.
    Bought,
    /// It takes them from the screw that it is cast round.
    Cast,
}

/// Sizes of the part to be made, as they are cut. Where the body is pressed in afterwards, its play is that in the
/// housing, and the sizes are larger by what pressing closes.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The thread.
    pub thread: Thread,
    /// Nut (`Internal`) or screw (`External`) is made.
    pub part: Element,
    /// How it comes by its thread: cut, until a way is chosen that makes it otherwise.
    pub making: Making,
    /// Limits by the book, in the class asked or the default one.
    pub book: Option<Limits>,
    /// Bore to finish before threading (nut: minor diameter; screw: outside diameter to turn).
    pub blank: Size,
    /// Diameter at the bottom of the groove (nut: major; screw: minor).
    pub bottom: Size,
    /// Pitch diameter.
    pub pitch_diameter: Size,
    /// Axial width of the groove at the basic pitch line; on upright flanks, where a pitch diameter tells nothing, the
    /// width that the play is cut to, the same from its mouth to its bottom.
    pub groove: Size,
    /// Radial depth of cut from the blank to the bottom, at the aims.
    pub depth: Length,
    /// Axial width of the groove at its bottom, at the aims: the widest tip that may be ground.
    pub groove_bottom_width: Length,
    /// Axial width of the groove at the blank's surface.
    pub groove_top_width: Length,
    /// Length of thread.
    pub length: Length,
    /// Length over which nut and screw are engaged.
    pub engaged: Engaged,
    /// Thread goes right through.
    pub through: bool,
    /// Room beyond the thread: relief groove, or through.
    pub relief: Option<Length>,
    /// Diameter of the relief groove, where the thread ends in one ([`relief_diameter`]).
    pub relief_diameter: Option<Length>,
    /// Material key of the part.
    pub material: &'static str,
    /// The mate along its travel; empty where it was not measured.
    pub stations: Vec<Station>,
    /// The part at its aims as it travels along the mate, evenly spaced; empty where the mate was not measured.
    pub travel: Vec<Spot>,
    /// Play along that travel; none where the mate was not measured.
    pub travelled: Option<Travelled>,
    /// Play of the two new parts, over the limits of both; none where the mate stays.
    pub expected: Option<(Length, Length)>,
    /// Whether the mate may stay; none where its flanks were not read, or at one place only.
    pub mate_wear: Option<Wear>,
    /// Why the load cannot be carried, and what would help; none where it can, or where no load is given.
    pub overload: Option<Text>,
    /// The mate's flanks were read and no pitch was counted, so that its lead is taken as true.
    pub lead_not_counted: bool,
    /// What whoever cuts the part has to know of its sizes: readings left out, a band that reaches below no play.
    pub beware: Vec<Text>,
    /// What pressing the body in does; none where it slides.
    pub pressed: Option<press::Pressed>,
    /// Outside diameter of the body, with its fit, if known.
    pub body: Option<Size>,
    /// Keyways in the body.
    pub keyways: Vec<keys::Way>,
    /// Steps of the outside.
    pub steps: Vec<steps::Stepped>,
    /// Diameter to which the bore is opened behind a thread that ends within a through body; none where it does not.
    pub opened: Option<Length>,
    /// Stock to order: diameter and length.
    pub stock: Option<(Length, Length)>,
    /// Order of operations of the part, thread included as one step (the cut stage details it).
    pub operations: Vec<Step>,
    /// Thread engagement H1.
    pub engagement: Length,
    /// The section's figures and tables that are not in fields above.
    pub detail: Vec<Block>,
}

impl Fit {
    /// What the part is made of.
    pub fn stuff(&self) -> &'static Material {
        material::material(self.material).unwrap_or_else(|| material::default_part(self.part))
    }
    /// The limits by the book of the part made.
    pub fn book_of_part(&self) -> Option<&ElementLimits> {
        of(self.book.as_ref()?, self.part)
    }
    /// Least and most play along the travel, of the kind of nut that is made; none where the mate was not measured.
    pub fn play_range(&self) -> Option<(Length, Length)> {
        self.travelled.map(|t| t.play)
    }
    /// How deep a blind bore is: thread and groove, or two pitches where no groove is given.
    pub fn blind_depth(&self) -> Length {
        self.length + self.relief.unwrap_or(self.thread.pitch.length * 2.0)
    }
    /// What pressing in takes of the play that is cut, at its tightest.
    pub fn press_takes(&self) -> Length {
        self.pressed.map_or(Length::ZERO, |p| p.takes.1)
    }
    /// The same of a part made to the book, from the tight to the loose end of its limits.
    pub fn play_range_by_book(&self) -> Option<(Length, Length)> {
        let t = self.travelled?;
        let (tight, loose) = t.by_book?;
        Some((t.tightest.play() + tight, t.loosest.play() + loose))
    }
    /// Length of the whole part: of its body, and no less than thread and groove; without a body's, to the last step.
    pub fn part_length(&self, make: &Make) -> Length {
        let thread = outline::thread_from(make) + self.length + groove(make);
        let steps = self.steps.iter().map(|s| s.from + s.length).fold(thread, Length::max);
        make.body.length.map_or(steps, |body| body.max(thread))
    }
    /// Where the mate's thread was read thickest.
    pub fn thickest(&self) -> Option<&Station> {
        self.stations.iter().max_by(|a, b| a.thickness.to_mm().total_cmp(&b.thickness.to_mm()))
    }
    /// Whether the flanks stand upright, so that the groove's width says what a pitch diameter says elsewhere.
    pub fn upright(&self) -> bool {
        self.slope() <= 0.0
    }
    /// Change of axial play for a change of pitch diameter.
    pub fn slope(&self) -> f64 {
        let basic = self.thread.basic();
        play::slope(basic.flank_leading, basic.flank_trailing)
    }
    /// Play of a nut of resin cast round the screw at the place where it is cast: least and most.
    pub fn cast_play(&self) -> (Length, Length) {
        kinds::cast_play(&self.thread.basic())
    }
    /// Bore of the shell that it is cast in.
    pub fn cast_shell(&self) -> Length {
        kinds::cast_shell(&self.thread.basic())
    }
    /// The least play along the travel that the readings leave open, as the part is cut, and where; none where the mate
    /// was not measured.
    pub fn play_open(&self) -> Option<(&Spot, Length)> {
        let least = |s: &Spot| s.play() - s.u * sizes::COVERAGE;
        let spot = self.travel.iter().min_by(|a, b| least(a).to_mm().total_cmp(&least(b).to_mm()))?;
        Some((spot, least(spot)))
    }
    /// Play where it is tightest, before a kind of nut that can be set is set.
    pub fn play_unset(&self) -> Option<Length> {
        self.travelled.map(|t| t.tightest.play())
    }
}

/// The other of the two.
pub(crate) const fn other(element: Element) -> Element {
    match element {
        Element::Internal => Element::External,
        Element::External => Element::Internal,
    }
}

/// `nut` or `screw`.
pub(crate) const fn word(element: Element) -> &'static str {
    match element {
        Element::Internal => "nut",
        Element::External => "screw",
    }
}

fn of(limits: &Limits, element: Element) -> Option<&ElementLimits> {
    match element {
        Element::Internal => limits.internal.as_ref(),
        Element::External => limits.external.as_ref(),
    }
}

/// What is missing and worth saying, gathered on the way.
#[derive(Default)]
struct Aside {
    needs: Vec<Need>,
    notes: Vec<Note>,
    /// Of the notes, what has to be known at the lathe too.
    beware: Vec<Text>,
}

impl Aside {
    fn need(&mut self, field: &str, what: &str) {
        self.needs.push(Need { field: field.to_owned(), what: what.to_owned() });
    }
    fn note(&mut self, note: Note) {
        self.notes.push(note);
    }
    fn beware(&mut self, note: Note) {
        self.beware.push(note.text.clone());
        self.notes.push(note);
    }
}

/// Computes sizes.
pub fn work(evidence: &Evidence, identity: &Identity, job: &Job) -> Outcome<Fit> {
    let make = &job.make;
    let thread = identity.thread.clone();
    let basic = thread.basic();
    let mut aside = Aside::default();
    doubt_identity(identity, &mut aside);

    let book = book(&thread, make, &mut aside);
    let mut mate = if make.mate_new {
        Mate::unread(other(make.part))
    } else {
        mate::gather(evidence, other(make.part), &thread, &basic)
    };
    let length = thread_length(make, thread.nominal, &mut aside);
    longer_than_mate(make, length, &mut aside);
    short_body(make, length, &mut aside);
    let engaged = Engaged::of(make, length, thread.nominal);
    if let Some(note) = contradiction::find(evidence, identity, make, &basic, engaged.longest) {
        return Outcome { result: None, needs: Vec::new(), notes: vec![note] };
    }
    aside.notes.extend(contradiction::turned(evidence, &thread, make));
    if evidence.observed.taper == Some(true) {
        let text = "The thread was seen to taper, and these sizes are for a parallel one: they will not fit. A tapered thread needs its own sizes, and a taper attachment or a tap.";
        aside.notes.push(Note::impossible(text).field("observed.taper"));
    }
    let slope = play::slope(basic.flank_leading, basic.flank_trailing);
    let by_book = missing_by_book(book.as_ref(), mate.element, &basic, slope);
    flanks::add(&mut mate, by_book, &basic, slope);
    aside.notes.append(&mut mate.notes);
    for note in std::mem::take(&mut mate.left_out) {
        aside.beware(note);
    }
    beyond_the_mate(evidence, make, &mut aside);
    let old = mate::gather(evidence, make.part, &thread, &basic);
    let mut sized = sizes::size(job, &basic, book.as_ref(), (&mate, &old), engaged.longest, &mut aside);
    let stuff = part_material(make, &mut aside);
    let seat = body::seat(job, &mut aside);
    let pressed = seat
        .as_ref()
        .and_then(|seat| press::plan(job, seat, stuff, (sized.bottom.max, length), sized.slope, &mut aside));
    if let Some(pressed) = &pressed {
        sized.open_for_pressing(pressed);
    }
    sizes::judge(&sized, &mate, &basic, &mut aside);

    let mut fit = Fit {
        material: stuff.key,
        through: make.through,
        relief: make.relief,
        relief_diameter: make
            .relief
            .filter(|_| !make.through)
            .map(|_| relief_diameter(make.part, sized.bottom, basic.p)),
        thread,
        part: make.part,
        making: Making::default(),
        book,
        blank: sized.blank,
        bottom: sized.bottom,
        pitch_diameter: sized.pitch_diameter,
        groove: sized.groove(&basic),
        depth: (sized.bottom.aim - sized.blank.aim).abs() / 2.0,
        groove_bottom_width: sized.groove_width(sized.bottom.aim, &basic),
        groove_top_width: sized.groove_width(sized.blank.aim, &basic),
        length,
        engaged,
        stations: sized.stations(&mate, &basic),
        travel: sized.travel(),
        travelled: sized.travelled(make, &basic),
        expected: None,
        mate_wear: None,
        overload: None,
        lead_not_counted: sized.course.is_some() && mate.spans.is_empty(),
        beware: Vec::new(),
        pressed,
        body: None,
        keyways: Vec::new(),
        steps: steps::sized(make, &mut aside),
        opened: None,
        stock: None,
        operations: Vec::new(),
        engagement: sized.engagement,
        detail: Vec::new(),
    };
    blind_room(&fit, &mut aside);
    figures::report(&mut fit, &mate, &sized, make.play.is_some(), &mut aside);
    fit.detail.extend(classes::table(&fit, &sized, &basic).map(Block::Table));
    kinds::report(&mut fit, &sized, job, &basic, &mut aside);
    fit.mate_wear = wear::report(&mut fit, &mate, &sized, job, &mut aside);
    crests::report(&mut fit, &mate, &basic);
    body::plan(&mut fit, job, seat, &mut aside);
    load::report(&mut fit, &mate, &sized, &basic, job, &mut aside);
    caution::duty(make, &mut aside);
    fit.operations = operations::plan(&fit, job);
    fit.beware = aside.beware;
    Outcome { result: Some(fit), needs: aside.needs, notes: aside.notes }
}

/// Sizes hold for the thread they were computed for: says so while that is in doubt.
fn doubt_identity(identity: &Identity, aside: &mut Aside) {
    let Some(first) = identity.candidates.iter().find(|c| c.thread == identity.thread) else { return };
    if identity.chosen_by_hand || first.probability >= SURE {
        return;
    }
    let mut text = Text::from(format!("These sizes are for {}, which is ", first.thread))
        .v(Value::Share(first.probability))
        .s(" likely");
    if let Some(rival) = identity.candidates.iter().find(|c| c.thread != identity.thread) {
        text = text.s(format!("; {} is ", rival.thread)).v(Value::Share(rival.probability));
    }
    aside.note(Note::warning(text.s(". Settle what it is before metal is cut.")).field("identity.thread"));
}

/// Limits of both elements: the part in the class asked, the mate in its default class.
fn book(thread: &Thread, make: &Make, aside: &mut Aside) -> Option<Limits> {
    let mut part = thread.clone();
    (part.external_class, part.internal_class) = (None, None);
    let mut mate = part.clone();
    let class = |t: &Thread, e| match e {
        Element::Internal => t.internal_class.clone(),
        Element::External => t.external_class.clone(),
    };
    let asked = make.class.clone().or_else(|| class(thread, make.part));
    let mates = class(thread, other(make.part));
    match make.part {
        Element::Internal => (part.internal_class, mate.external_class) = (asked, mates),
        Element::External => (part.external_class, mate.internal_class) = (asked, mates),
    }
    let mut found = Limits { external: None, internal: None, extras: Vec::new(), warnings: Vec::new() };
    for (thread, element) in [(&part, make.part), (&mate, other(make.part))] {
        match flankwise_thread::limits::limits(thread) {
            Ok(limits) => {
                match element {
                    Element::Internal => found.internal = limits.internal,
                    Element::External => found.external = limits.external,
                }
                // What lies between the two follows when the limits of both are there.
                let own =
                    |extra: &Extra| !extra.what.is_between() && extra.element.is_none_or(|of| of == element);
                for extra in limits.extras.into_iter().filter(own) {
                    if !found.extras.contains(&extra) {
                        found.extras.push(extra);
                    }
                }
                for warning in limits.warnings {
                    if !found.warnings.contains(&warning) {
                        found.warnings.push(warning);
                    }
                }
            }
            Err(why) => {
                let text = format!("{why}. Sizes follow the basic profile instead.");
                let own = element == make.part;
                aside.note(if own && make.class.is_some() {
                    Note::impossible(text).field("make.class")
                } else {
                    Note::warning(text).field(if own { "make.class" } else { "" })
                });
            }
        }
    }
    let between = flankwise_thread::limits::between(thread, &found);
    found.extras.extend(between);
    for warning in &found.warnings {
        aside.note(Note::remark(warning.clone()));
    }
    (found.external.is_some() || found.internal.is_some()).then_some(found)
}

fn thread_length(make: &Make, nominal: Length, aside: &mut Aside) -> Length {
    if let Some(length) = make.length.filter(|l| *l > Length::ZERO) {
        return length;
    }
    aside.need(
        "make.length",
        "length of thread: it settles the load on the flanks, the stock and the reach of the tool",
    );
    let groove = groove(make);
    let beside = match make.part {
        Element::Internal => groove,
        Element::External => make.body.steps.iter().fold(groove, |all, step| all + step.length),
    };
    let in_body = make.body.length.map(|l| l - beside).filter(|l| *l > Length::ZERO);
    let assumed = in_body.unwrap_or(nominal * strength::USUAL_NUT.0);
    let text = Text::from("Length of thread taken as ").len(assumed).s(match in_body {
        Some(_) if beside > groove => ", the length of the body less its steps and the groove.",
        Some(_) if groove > Length::ZERO => ", the length of the body less the groove.",
        Some(_) => ", the length of the body.",
        None => ", one and a half times the diameter.",
    });
    aside.note(Note::remark(text).field("make.length").source(strength::LENGTH));
    assumed
}

/// Room that the groove at a blind end takes of the part; none where the thread goes right through or no groove is given.
fn groove(make: &Make) -> Length {
    make.relief.filter(|_| !make.through).unwrap_or(Length::ZERO)
}

/// A body that is shorter than the thread and the groove in it.
fn short_body(make: &Make, length: Length, aside: &mut Aside) {
    let groove = groove(make);
    let from = outline::thread_from(make);
    let Some(body) = make.body.length.filter(|body| *body + Length::um(1.0) < from + length + groove) else {
        return;
    };
    let mut text =
        Text::from("The body (make.body.length) is ").len(body).s(" long, and a thread of ").len(length);
    if groove > Length::ZERO {
        text = text
            .s(" (make.length) and its groove of ")
            .len(groove)
            .s(" (make.relief) want ")
            .len(length + groove);
    } else if from > Length::ZERO {
        text = text.s(" (make.length) that begins ").len(from).s(" from the front face does not go into it");
    } else {
        text = text.s(" (make.length) does not go into it");
    }
    aside.note(
        Note::impossible(text.s(": a longer body, or less of thread or groove.")).field("make.body.length"),
    );
}

/// Readings of the mate at places that its length does not reach to.
fn beyond_the_mate(evidence: &Evidence, make: &Make, aside: &mut Aside) {
    let mate = other(make.part);
    let Some(length) = engaged::mate_length(make).filter(|_| !make.mate_new) else { return };
    let beyond = evidence
        .readings
        .iter()
        .filter(|r| r.part == mate)
        .find_map(|r| Some((r, r.place.filter(|p| *p > length + crate::evidence::SAME_PLACE)?)));
    let Some((reading, place)) = beyond else { return };
    let field = if make.part == Element::External && make.run.nut_length.is_some() {
        "make.run.nut_length"
    } else {
        "make.mate_length"
    };
    let text = Text::from(format!("The {}'s {} was read at ", word(mate), reading.feature.word()))
        .len(place)
        .s(format!(" from its end, and its thread is ({field}) "))
        .len(length)
        .s(" long: one of the two is wrong.");
    aside.note(Note::impossible(text).field(format!("reading[{}].place", reading.index + 1)));
}

/// A nut that is longer than the screw it runs on.
fn longer_than_mate(make: &Make, length: Length, aside: &mut Aside) {
    let Some(mates) = make.mate_length.filter(|l| make.part == Element::Internal && length > *l) else {
        return;
    };
    let text = Text::from("The nut of ")
        .len(length)
        .s(" is longer than the screw's thread of ")
        .len(mates)
        .s(": what is over carries nothing. Shorten it, or look again at the two lengths.");
    aside.note(Note::warning(text).field("make.length"));
}

fn part_material(make: &Make, aside: &mut Aside) -> &'static Material {
    let default = material::default_part(make.part);
    let Some(typed) = &make.material else {
        aside.note(
            Note::remark(format!("No material is given: {} is taken.", default.name)).field("make.material"),
        );
        return default;
    };
    material::material(typed).unwrap_or_else(|| {
        let text = format!(
            "No material is called {typed}; {} is taken. The nearest name is {}.",
            default.name,
            material::nearest(typed)
        );
        aside.note(Note::warning(text).field("make.material"));
        default
    })
}

/// What the relief groove is deeper than the deepest thread permitted, on the diameter, at most.
const RELIEF_OVER: Length = Length::mm(0.5);
/// Origin of it.
pub const RELIEF_SOURCE: Source = Source::memory(
    "DIN 76-1, undercuts of internal threads",
    "0.5 mm over the thread's largest diameter from a pitch of 1 mm on; here no more than half the pitch, and the same inward on a screw",
);

/// Diameter of the relief groove: beyond the bottom of the deepest thread permitted, so that the tip runs free.
pub fn relief_diameter(part: Element, bottom: Size, pitch: Length) -> Length {
    let over = RELIEF_OVER.min(pitch / 2.0);
    match part {
        Element::Internal => bottom.max + over,
        Element::External => bottom.min - over,
    }
}

/// A blind thread needs somewhere for the tool to stop.
fn blind_room(fit: &Fit, aside: &mut Aside) {
    if fit.through {
        return;
    }
    let usual = fit.thread.pitch.length * 2.0;
    match fit.relief {
        None => aside.need(
            "make.relief",
            "width of the groove at the blind end: the tool has to stop there, and two pitches are usual",
        ),
        Some(relief) if relief < usual => aside.note(
            Note::warning(
                Text::from("The groove at the blind end is ")
                    .len(relief)
                    .s(" wide; two pitches, ")
                    .len(usual)
                    .s(", are usual. Less leaves less time to stop in."),
            )
            .field("make.relief")
            .source(Source::practice("relief of feed threads at least two pitches wide")),
        ),
        Some(_) => {}
    }
}

/// What is missing of `element` by its limits: least and most.
fn missing_by_book(
    book: Option<&Limits>,
    element: Element,
    basic: &Basic,
    slope: f64,
) -> Option<(Length, Length)> {
    let range = of(book?, element)?.pitch;
    let (max, min) = (range.max.or(range.min)?, range.min.or(range.max)?);
    let a = play::missing(element, max, basic.d2, slope);
    let b = play::missing(element, min, basic.d2, slope);
    Some((a.min(b), a.max(b)))
}
