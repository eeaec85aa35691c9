//! Threads for property tests.

use flankwise_thread::{Element, Family, Hand, Length, Pitch, Thread, Unit};
use proptest::prelude::*;

/// A diameter as someone would write it: whole or tenths of millimetres, 16ths or thousandths of an inch.
fn written_diameter() -> impl Strategy<Value = (Length, Unit)> {
    prop_oneof![
        (2_u32..300).prop_map(|mm| (Length::mm(f64::from(mm)), Unit::Mm)),
        (16_u32..3000).prop_map(|tenths| (Length::mm(f64::from(tenths) / 10.0), Unit::Mm)),
        (2_u32..160).prop_map(|sixteenths| (Length::inch(f64::from(sixteenths) / 16.0), Unit::Inch)),
        (60_u32..9000).prop_map(|thou| (Length::inch(f64::from(thou) / 1000.0), Unit::Inch)),
    ]
}

/// A pitch as someone would write it, a quarter of the diameter at most, so that a core is left.
fn written_pitch(d: Length) -> impl Strategy<Value = Pitch> {
    let most = d / 4.0;
    let hundredths = (most.to_um() / 10.0).floor() as u32;
    let least_tpi = most.to_tpi().ceil() as u32;
    prop_oneof![
        (hundredths.min(20)..=hundredths).prop_map(|h| Pitch::mm(f64::from(h) / 100.0)),
        (least_tpi..=least_tpi.max(80)).prop_map(|n| Pitch::tpi(f64::from(n))),
        (least_tpi..=least_tpi.max(20)).prop_map(|n| Pitch::tpi(f64::from(n) + 0.5)),
    ]
}

fn class(family: Family, element: Element) -> BoxedStrategy<Option<String>> {
    match family.form().classes(element) {
        [] => Just(None).boxed(),
        classes => prop::option::of(prop::sample::select(classes).prop_map(str::to_owned)).boxed(),
    }
}

fn variant(family: Family) -> BoxedStrategy<Option<&'static str>> {
    match family.form().variants() {
        [] => Just(None).boxed(),
        variants => prop::option::of(prop::sample::select(variants).prop_map(|variant| variant.name)).boxed(),
    }
}

/// Any thread of any family: size and pitch off the series as a rule, one to five starts, either hand, classes named or
/// left out, any edition or version.
pub fn any_thread() -> impl Strategy<Value = Thread> {
    let family = prop::sample::select(Family::ALL.to_vec());
    (family, written_diameter()).prop_flat_map(|(family, (d, written))| {
        let classes = (class(family, Element::External), class(family, Element::Internal));
        (written_pitch(d), 1_u32..=5, any::<bool>(), classes, variant(family)).prop_filter_map(
            "no core",
            move |(pitch, starts, left, (external_class, internal_class), variant)| {
                let thread = Thread {
                    starts,
                    hand: if left { Hand::Left } else { Hand::Right },
                    external_class,
                    internal_class,
                    variant,
                    ..Thread::new(family, d, written, pitch)
                };
                let basic = thread.basic();
                (pitch.length.to_mm() > 0.0 && basic.d3 > Length::ZERO).then_some(thread)
            },
        )
    })
}
