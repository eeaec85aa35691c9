//! The closed lists of words that fields of a job take.

use super::{
    BarKind, BarMaterial, BarShape, CastMaterial, ChuckMount, Condition, DialReads, Duty, Ends, Feature,
    HoleKind, Infeed, Instrument, KeyStandard, LeafVerdict, Lubricant, MadeFeature, Meshes, NutKind,
    OfferKind, SeenForm, Share, Side, TrialVerdict, WayKind,
};
use flankwise_thread::{Element, Hand, Unit};

/// A type whose values are written as words in a job.
pub trait Words: Copy + PartialEq + 'static {
    /// The words, in the order to offer them. Two words may stand for one value (`bore`, `minor diameter`).
    const WORDS: &'static [&'static str];
    /// The value that `text` names; case, and whether words are joined by space, dash or underline, is ignored.
    fn from_word(text: &str) -> Option<Self>;
    /// The word for a value: the first that stands for it.
    fn word(self) -> &'static str;
}

/// Lower case, with single spaces between words.
fn plain(text: &str) -> String {
    let lower = text.to_lowercase().replace(['-', '_'], " ");
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// `"word" | "other spelling that is read but not offered" => value`
macro_rules! words {
    ($type:ty { $($word:literal $(| $also:literal)* => $value:path),+ $(,)? }) => {
        impl Words for $type {
            const WORDS: &'static [&'static str] = &[$($word),+];
            fn from_word(text: &str) -> Option<Self> {
                let text = plain(text);
                $(if text == plain($word) $(|| text == $also)* { return Some($value); })+
                None
            }
            fn word(self) -> &'static str {
                $(if self == $value { return $word; })+
                unreachable!("every value has a word")
            }
        }
    };
}

words!(Unit { "mm" => Unit::Mm, "in" | "inch" => Unit::Inch });
words!(Hand { "right" | "right hand" | "rh" => Hand::Right, "left" | "left hand" | "lh" => Hand::Left });
words!(Element { "screw" | "external" => Element::External, "nut" | "internal" => Element::Internal });
words!(Meshes { "even" => Meshes::Even, "odd" => Meshes::Odd });
words!(ChuckMount {
    "screwed on" | "screwed" | "threaded" => ChuckMount::ScrewedOn,
    "fastened" | "bolted" | "cams" => ChuckMount::Fastened,
});
words!(SeenForm {
    "flat-topped" => SeenForm::FlatTopped,
    "sharp" => SeenForm::Sharp,
    "rounded" => SeenForm::Rounded,
    "square" => SeenForm::Square,
    "sawtooth" => SeenForm::Sawtooth,
});
words!(Condition {
    "unused" => Condition::Unused,
    "used" => Condition::Used,
    "worn" => Condition::Worn,
    "wrecked" => Condition::Wrecked,
});
words!(Feature {
    "major diameter" | "outside diameter" => Feature::MajorDiameter,
    "pitch diameter" => Feature::PitchDiameter,
    "minor diameter" | "bore" => Feature::MinorDiameter,
    "pitch" => Feature::Pitch,
    "lead" => Feature::Lead,
    "flank angle" => Feature::FlankAngle,
    "included angle" => Feature::IncludedAngle,
    "crest flat" => Feature::CrestFlat,
    "root flat" => Feature::RootFlat,
    "thread thickness" => Feature::ThreadThickness,
    "thread depth" => Feature::ThreadDepth,
    "over wires" => Feature::OverWires,
    "flank wear" => Feature::FlankWear,
    "run-out" | "runout" => Feature::RunOut,
});
words!(Instrument {
    "calliper" | "caliper" | "callipers" | "calipers" => Instrument::Calliper,
    "micrometer" => Instrument::Micrometer,
    "rule" => Instrument::Rule,
    "protractor" => Instrument::Protractor,
    "wires" => Instrument::Wires,
    "pins" | "balls" => Instrument::Pins,
    "telescoping gauge" | "telescoping gage" | "small hole gauge" | "small hole gage"
        => Instrument::TelescopingGauge,
    "photo" => Instrument::Photo,
    "paper trace" | "trace" | "rubbing" => Instrument::PaperTrace,
    "cast" | "thread cast" | "moulding" => Instrument::Cast,
    "microscope" | "projector" | "optical" => Instrument::Microscope,
    "indicator" | "dial indicator" | "dial gauge" | "dial gage" => Instrument::Indicator,
    "other" => Instrument::Other,
});
words!(Side { "left" => Side::Left, "right" => Side::Right });
words!(LeafVerdict {
    "seats" => LeafVerdict::Seats,
    "rocks" => LeafVerdict::Rocks,
    "refuses" => LeafVerdict::Refuses,
});
words!(TrialVerdict {
    "runs" => TrialVerdict::Runs,
    "loose" => TrialVerdict::Loose,
    "starts" => TrialVerdict::Starts,
    "refuses" => TrialVerdict::Refuses,
});
words!(Duty { "feed" => Duty::Feed, "clamp" => Duty::Clamp, "lift" => Duty::Lift });
words!(NutKind {
    "plain" => NutKind::Plain,
    "split" => NutKind::Split,
    "two-piece" => NutKind::TwoPiece,
    "sprung" => NutKind::Sprung,
    "cast" => NutKind::Cast,
});
words!(HoleKind { "cross" => HoleKind::Cross, "spot" => HoleKind::Spot, "flange" => HoleKind::Flange });
words!(KeyStandard {
    "DIN 6885" | "din 6885 1" | "iso 773" => KeyStandard::Din6885,
    "ASME B17.1" | "ansi b17.1" | "b17.1" => KeyStandard::AsmeB171,
});
words!(Lubricant { "oiled" | "greased" | "oil" | "grease" => Lubricant::Oiled, "dry" => Lubricant::Dry });
words!(Ends {
    "fixed and free" => Ends::FixedFree,
    "simple and simple" => Ends::Simple,
    "fixed and simple" => Ends::FixedSimple,
    "fixed and fixed" => Ends::Fixed,
});
words!(OfferKind {
    "tap" => OfferKind::Tap,
    "die" => OfferKind::Die,
    "part" => OfferKind::Part,
    "bar" => OfferKind::Bar,
    "stock" => OfferKind::Stock,
    "tool steel" => OfferKind::ToolSteel,
    "resin" => OfferKind::Resin,
});
words!(WayKind {
    "single point" => WayKind::SinglePoint,
    "re-chuck" | "rechuck" => WayKind::Rechuck,
    "bought tap" => WayKind::BoughtTap,
    "made tap" => WayKind::MadeTap,
    "die" => WayKind::Die,
    "bought part" => WayKind::BoughtPart,
    "thread mill" | "thread milling" => WayKind::ThreadMill,
    "cast" => WayKind::Cast,
});
words!(BarMaterial {
    "steel" => BarMaterial::Steel,
    "hss" | "high speed steel" => BarMaterial::Hss,
    "carbide" => BarMaterial::Carbide,
    "heavy metal" => BarMaterial::HeavyMetal,
});
words!(BarShape { "round" => BarShape::Round, "flatted" => BarShape::Flatted, "square" => BarShape::Square });
words!(BarKind {
    "one piece" => BarKind::OnePiece,
    "hardened" => BarKind::Hardened,
    "brazed tip" => BarKind::BrazedTip,
    "screwed tip" => BarKind::ScrewedTip,
    "boring head" => BarKind::BoringHead,
    "bought" => BarKind::Bought,
});
words!(DialReads { "radius" => DialReads::Radius, "diameter" => DialReads::Diameter });
words!(Infeed {
    "radial" => Infeed::Radial,
    "flank" => Infeed::Flank,
    "modified flank" => Infeed::ModifiedFlank,
    "alternating" => Infeed::Alternating,
});
words!(Share { "area" => Share::Area, "force" => Share::Force, "deflection" => Share::Deflection });
words!(MadeFeature {
    "bore" => MadeFeature::MinorDiameter,
    "minor diameter" => MadeFeature::MinorDiameter,
    "major diameter" => MadeFeature::MajorDiameter,
    "over wires" => MadeFeature::OverWires,
    "over balls" | "over pins" => MadeFeature::OverWires,
    "play" => MadeFeature::Play,
    "body diameter" => MadeFeature::BodyDiameter,
    "bore in place" => MadeFeature::BoreInPlace,
    "play in place" => MadeFeature::PlayInPlace,
    "pitch" => MadeFeature::Pitch,
    "groove width" => MadeFeature::GrooveWidth,
});
words!(CastMaterial {
    "silicone" => CastMaterial::Silicone,
    "gypsum" | "plaster" => CastMaterial::Gypsum,
    "bismuth alloy" => CastMaterial::BismuthAlloy,
    "sulphur" | "sulfur" => CastMaterial::Sulphur,
});

#[cfg(test)]
mod tests {
    use super::*;

    fn round_trip<T: Words + std::fmt::Debug>() {
        for word in T::WORDS {
            let value = T::from_word(word).unwrap_or_else(|| panic!("{word}"));
            assert_eq!(T::from_word(value.word()), Some(value));
            assert_eq!(T::from_word(&word.to_uppercase().replace(' ', "_")), Some(value), "{word}");
        }
        assert_eq!(T::from_word(""), None);
    }

    #[test]
    fn every_word_names_its_value() {
        round_trip::<Unit>();
        round_trip::<NutKind>();
        round_trip::<Hand>();
        round_trip::<Element>();
        round_trip::<SeenForm>();
        round_trip::<Condition>();
        round_trip::<Feature>();
        round_trip::<Instrument>();
        round_trip::<Side>();
        round_trip::<LeafVerdict>();
        round_trip::<TrialVerdict>();
        round_trip::<Duty>();
        round_trip::<HoleKind>();
        round_trip::<KeyStandard>();
        round_trip::<Lubricant>();
        round_trip::<Ends>();
        round_trip::<OfferKind>();
        round_trip::<WayKind>();
        round_trip::<BarMaterial>();
        round_trip::<BarShape>();
        round_trip::<BarKind>();
        round_trip::<DialReads>();
        round_trip::<Infeed>();
        round_trip::<Share>();
        round_trip::<MadeFeature>();
        round_trip::<CastMaterial>();
        assert_eq!(MadeFeature::MinorDiameter.word(), "bore");
    }
}
