//! Passes alike in force, held to a search within a search over the law of each pass itself.

#[path = "../benches/nested/mod.rs"]
mod nested;

use flankwise_bench::cut::force::{self, Kienzle, Load, Step};
use flankwise_bench::cut::groove::{Flanks, Groove};
use flankwise_bench::cut::growth::Growth;
use flankwise_bench::material;
use flankwise_thread::{Angle, Element, Force, Length, Thread};

/// What a rule keeps alike.
type OfLoad = fn(Load) -> Force;
const ALIKE: [(&str, OfLoad); 2] =
    [("cutting force", |load| load.cutting), ("radial force", |load| load.radial)];

/// Feed screws, fastenings, a square and a coarse one of three starts, either element; fed straight, a little aslant and
/// along the flank; in steel, bronze and plastic; from the scratch and from half way.
#[test]
fn alike_to_a_tenth_of_a_micrometre_with_the_nested_search() {
    let mut seen = 0;
    for designation in ["Tr 22x5", "7/8-5 Acme", "M16", "1/4-20 UNC", "Sq 20x4", "Tr 40x21(P7)"] {
        let thread: Thread = designation.parse().unwrap_or_else(|e| panic!("{e}"));
        for part in [Element::Internal, Element::External] {
            let groove = section(&thread, part);
            let half = Angle::atan(groove.mean_tan());
            for (material, share) in [("steel-mild", 0.0), ("bronze-c93200", 0.5), ("acetal", 0.97)] {
                let kienzle = kienzle(material);
                let lean = Angle::atan((half * share).tan());
                for from in [Length::mm(0.03), groove.depth * 0.5] {
                    for n in [1, 4, 19] {
                        same(designation, kienzle, groove, lean, from, n);
                        seen += 1;
                    }
                }
            }
        }
    }
    assert_eq!(seen, 6 * 2 * 3 * 2 * 3);
}

fn kienzle(material: &str) -> Kienzle {
    let m = material::material(material).unwrap_or_else(|| panic!("no {material}"));
    Kienzle { kc11: m.kc11, mc: m.mc }
}

/// The basic section of a groove.
fn section(thread: &Thread, part: Element) -> Groove {
    let b = thread.basic();
    let (tip, depth) = match part {
        Element::Internal => (b.root_width_internal, (b.d4_internal - b.d1_internal) * 0.5),
        Element::External => (b.root_width, (b.d - b.d3) * 0.5),
    };
    Groove { tip, flanks: Flanks::of(thread), depth }
}

fn same(name: &str, kienzle: Kienzle, groove: Groove, lean: Angle, from: Length, n: u32) {
    for (what, pick) in ALIKE {
        let law = |from: Length, to: Length| pick(force::plunge(kienzle, &groove, Step { from, to, lean }));
        let load = |from: Length, to: Length| law(from, to).to_newton();
        let growth = Growth::of(kienzle, law);
        let to = groove.depth;
        assert!((growth.newton(from, to) / load(from, to) - 1.0).abs() < 1e-12, "{name}: another law");
        let by_search = nested::equal(&load, from, to, n);
        for (i, (new, old)) in growth.equal(from, to, n).into_iter().zip(by_search).enumerate() {
            assert!((new - old).abs() < Length::um(0.1), "{name}, {what}, {i} of {n}: {new:?} {old:?}");
        }
    }
}
