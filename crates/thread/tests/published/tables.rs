//! Fixtures that are not limits: forms, tolerances, allowances, series. Each is put to what the family gives for threads
//! of its sizes, never to the tables that the program itself holds.

use crate::fixture::{self, Row};
use crate::value::{Evidence, LISTED, Value};
use flankwise_thread::limits::{Element, ElementLimits, ExtraKind, limits};
use flankwise_thread::{Family, Length, Pitch, Thread, Unit};

/// The values of every such fixture.
pub fn values() -> Vec<Value> {
    let of = |name: &str, values: fn(&Row) -> Vec<Value>| -> Vec<Value> {
        fixture::rows(name).iter().flat_map(values).collect()
    };
    let mut all = [
        of("trapezoidal-profile", trapezoidal_profile),
        of("trapezoidal-tolerances", trapezoidal_tolerance),
        of("iso-metric-tolerances", metric_tolerance),
        of("acme-data", acme_data),
        of("acme-allowances", acme_allowance),
        of("acme-centralizing", acme_centralizing),
        of("stub-acme-form", stub_acme_form),
        of("bsp-tolerances", bsp_tolerances),
        of("buttress-inch-tolerances", buttress_inch_tolerance),
        of("npt-basic", npt_basic),
        of("vee-wires", over_wires),
    ]
    .concat();
    all.extend(fixture::names("-series").iter().flat_map(|name| of(name, listed)));
    all
}

/// A size that a published series lists is in the family's series; where the row gives its pitch or diameter too (sizes
/// that go by a name), those agree.
fn listed(row: &Row) -> Vec<Value> {
    let designation = row.text("designation");
    let thread: Thread = designation.parse().unwrap_or_else(|e| panic!("{}:{}: {e}", row.table, row.line));
    let sizes = [
        ("tpi", thread.pitch.length.to_tpi(), "per in"),
        ("pitch_mm", thread.pitch.length.to_mm(), "mm"),
        ("major_mm", thread.nominal.to_mm(), "mm"),
    ];
    let sizes = sizes.into_iter().filter(|(column, ..)| row.has(column) && !row.text(column).is_empty()).map(
        |(column, ours, unit)| Value::of_cell(thread.family, row, [designation, ""], column, ours, unit),
    );
    let listed = Value {
        family: thread.family,
        table: row.table.clone(),
        line: row.line,
        at: [designation, "", "series", ""].map(str::to_owned),
        source: row.text("source").to_owned(),
        evidence: Evidence::of(row.text("source"), ""),
        printed: LISTED.to_owned(),
        ours: if thread.in_series() { LISTED } else { "not listed" }.to_owned(),
        unit: "",
    };
    std::iter::once(listed).chain(sizes).collect()
}

/// One element of a thread in a class.
fn in_class(thread: &Thread, element: Element, class: &str) -> ElementLimits {
    let class = Some(class.to_owned());
    let named = match element {
        Element::External => Thread { external_class: class, internal_class: None, ..thread.clone() },
        Element::Internal => Thread { external_class: None, internal_class: class, ..thread.clone() },
    };
    let limits = limits(&named).unwrap_or_else(|e| panic!("{e}"));
    let of = if element == Element::External { limits.external } else { limits.internal };
    of.expect("the element asked for")
}

fn metric(family: Family, d: f64, p: f64) -> Thread {
    Thread::new(family, Length::mm(d), Unit::Mm, Pitch::mm(p))
}

fn inch(family: Family, d: Length, tpi: f64) -> Thread {
    Thread::new(family, d, Unit::Inch, Pitch::tpi(tpi))
}

/// Inches in whole ten-thousandths, halves upwards, as basic sizes are taken before anything is added.
fn places(length: Length) -> f64 {
    (length.to_inch() * 1e4 + 1e-6).round() / 1e4
}

/// ISO 2904: sizes of the profile by pitch. They do not depend on the diameter.
fn trapezoidal_profile(row: &Row) -> Vec<Value> {
    let d = Length::mm(100.0);
    let basic = Family::MetricTrapezoidal.form().basic(d, Length::mm(row.number("pitch_mm")));
    let ac = (basic.d4_internal - d).to_mm() / 2.0;
    let pitch = format!("P {}", row.text("pitch_mm"));
    [
        ("ac_mm", ac),
        ("h3_H4_mm", (d - basic.d3).to_mm() / 2.0),
        ("h3_H4_mm", (basic.d4_internal - basic.d1_internal).to_mm() / 2.0),
        ("H1_mm", (d - basic.d1_internal).to_mm() / 2.0),
        ("R1max_mm", ac / 2.0),
        ("R2max_mm", basic.root_radius.to_mm()),
    ]
    .into_iter()
    .map(|(column, ours)| Value::of_cell(Family::MetricTrapezoidal, row, [&pitch, ""], column, ours, "mm"))
    .collect()
}

/// Tolerances and deviations in micrometres, told by the limits of a thread of the row's pitch and of its largest
/// diameter; of any diameter where the row names none.
fn microns(
    family: Family,
    row: &Row,
    classes: [&str; 2],
    of: fn(&str, &Thread, &[ElementLimits; 2]) -> Length,
) -> Vec<Value> {
    let p = row.number("pitch_mm");
    let d = if row.text("d_to_mm").is_empty() { 8.0 * p } else { row.number("d_to_mm") };
    let thread = metric(family, d, p);
    let [external, internal] = classes;
    let limits =
        [in_class(&thread, Element::External, external), in_class(&thread, Element::Internal, internal)];
    let ours = of(row.text("quantity"), &thread, &limits).to_um();
    let range = match row.text("d_to_mm") {
        "" => format!("P {}", row.text("pitch_mm")),
        to => format!("d {} to {to} P {}", row.text("d_over_mm"), row.text("pitch_mm")),
    };
    let value = Value::of_cell(family, row, [&range, row.text("grade")], "value_um", ours, "µm");
    let [designation, class, _, side] = value.at;
    vec![Value { at: [designation, class, row.text("quantity").to_owned(), side], ..value }]
}

fn both(range: flankwise_thread::limits::Range) -> Length {
    range.max.expect("a largest size") - range.min.expect("a smallest size")
}

/// ISO 2903, and GOST 24739-81 for zone 10c. The diameters d and d3 of the screw stand at position h.
fn trapezoidal_tolerance(row: &Row) -> Vec<Value> {
    let classes = match row.text("grade") {
        "8" => ["8e", "8H"],
        "9" => ["9c", "9H"],
        "10" | "10c" => ["10c", "9H"],
        "c" => ["8c", "8H"],
        _ => ["7e", "7H"],
    };
    microns(Family::MetricTrapezoidal, row, classes, |quantity, thread, [screw, nut]| match quantity {
        "es" => screw.pitch.max.expect("a limit") - thread.basic().d2,
        "Td" => both(screw.major),
        "Td2" => both(screw.pitch),
        "ei d3" => -both(screw.minor),
        "TD1" => both(nut.minor),
        "TD2" => both(nut.pitch),
        other => panic!("{other}"),
    })
}

/// ISO 965-1.
fn metric_tolerance(row: &Row) -> Vec<Value> {
    let (position, nut) = match row.text("grade") {
        "6" => ("6h".to_owned(), "6H"),
        "G" => ("6h".to_owned(), "6G"),
        position => (format!("6{position}"), "6H"),
    };
    microns(Family::MetricIso, row, [&position, nut], |quantity, thread, [screw, nut]| match quantity {
        "es" => screw.major.max.expect("a limit") - thread.nominal,
        "EI" => nut.major.min.expect("a limit") - thread.nominal,
        "Td" => both(screw.major),
        "Td2" => both(screw.pitch),
        "TD1" => both(nut.minor),
        "TD2" => both(nut.pitch),
        other => panic!("{other}"),
    })
}

/// Machinery's Handbook, 27th ed., p. 1831, table 3: basic sizes, crest flat and lead angle; shear and stress areas of
/// class 3G from our limits of the screw, which are not printed there themselves.
fn acme_data(row: &Row) -> Vec<Value> {
    let thread: Thread =
        format!("{}-{} acme", row.text("nominal"), row.text("tpi")).parse().expect("a listed size");
    let (d, p) = (thread.nominal, thread.pitch.length);
    let basic = thread.basic();
    let minutes = (thread.lead_angle(basic.d2).to_deg() * 60.0).round();
    let screw = in_class(&thread, Element::External, "3G");
    let inches = |limit: Option<Length>| limit.expect("a limit").to_inch();
    let (d2_min, d3_min) = (inches(screw.pitch.min), inches(screw.minor.min));
    let pi = std::f64::consts::PI;
    // The source takes 0.05 P for the nut's minor diameter tolerance in the three smallest pitches too, where the
    // standard's least tolerance of 0.005 in is larger: only so do 1/4, 5/16 and 7/16 come out as printed.
    let d1_max = basic.d1_internal.to_inch() + 0.05 * p.to_inch();
    let shear = pi * d1_max * (0.5 + p.to_tpi() * 14.5_f64.to_radians().tan() * (d2_min - d1_max));
    let designation = thread.to_string();
    [
        ("major_in", d.to_inch(), "in"),
        ("pitch_dia_in", basic.d2.to_inch(), "in"),
        ("minor_in", basic.d1_internal.to_inch(), "in"),
        ("pitch_in", p.to_inch(), "in"),
        ("t_in", p.to_inch() / 2.0, "in"),
        ("h_in", (d - basic.d1_internal).to_inch() / 2.0, "in"),
        ("flat_in", basic.crest_width.to_inch(), "in"),
        ("lead_angle_deg", (minutes / 60.0).floor(), "°"),
        ("lead_angle_min", minutes % 60.0, "′"),
        ("shear_area_3G_in2", shear, "in²"),
        ("stress_area_3G_in2", pi / 4.0 * ((d2_min + d3_min) / 2.0).powi(2), "in²"),
    ]
    .into_iter()
    .map(|(column, ours, unit)| Value::of_cell(Family::Acme, row, [&designation, "3G"], column, ours, unit))
    .collect()
}

/// Machinery's Handbook, 27th ed., p. 1841, table 10: allowances by diameter range, the same for G and C.
fn acme_allowance(row: &Row) -> Vec<Value> {
    let d = Length::inch(row.number("size_to_in"));
    let thread = inch(Family::Acme, d, 16.0_f64.max((4.0 / d.to_inch()).ceil()));
    let range = format!("d {} to {}", row.text("size_over_in"), row.text("size_to_in"));
    let classes = [("class_2C_in", "2C"), ("class_3C_in", "3C"), ("class_4C_in", "4C")];
    let ours = |class| {
        let screw = in_class(&thread, Element::External, class);
        places(thread.basic().d2) - screw.pitch.max.expect("a limit").to_inch()
    };
    classes
        .into_iter()
        .map(|(column, class)| Value::of_cell(Family::Acme, row, [&range, class], column, ours(class), "in"))
        .collect()
}

/// Machinery's Handbook, 27th ed., p. 1842, table 12: allowances and tolerances of the crests of centralizing threads.
fn acme_centralizing(row: &Row) -> Vec<Value> {
    let thread: Thread =
        format!("{}-{} acme", row.text("nominal"), row.text("tpi")).parse().expect("a listed size");
    let (d, p) = (thread.nominal, thread.pitch.length);
    let screw = |class| in_class(&thread, Element::External, class);
    let nut = |class| in_class(&thread, Element::Internal, class);
    let least = |range: flankwise_thread::limits::Range| range.min.expect("a limit").to_inch();
    let most = |range: flankwise_thread::limits::Range| range.max.expect("a limit").to_inch();
    let designation = thread.to_string();
    [
        ("ext_minor_allowance", "2C", places(d - p) - most(screw("2C").minor)),
        ("int_major_allowance", "2C", least(nut("2C").major) - d.to_inch()),
        ("int_minor_allowance", "2C", least(nut("2C").minor) - places(d - p)),
        ("int_minor_tol", "2C", both(nut("2C").minor).to_inch()),
        ("major_tol_2C_ext_int", "2C", both(screw("2C").major).to_inch()),
        ("major_tol_2C_ext_int", "2C", both(nut("2C").major).to_inch()),
        ("major_tol_3C_ext", "3C", both(screw("3C").major).to_inch()),
        ("major_tol_3C_int", "3C", both(nut("3C").major).to_inch()),
        ("major_tol_4C_ext", "4C", both(screw("4C").major).to_inch()),
        ("major_tol_4C_int", "4C", both(nut("4C").major).to_inch()),
    ]
    .into_iter()
    .map(|(column, class, ours)| Value::of_cell(Family::Acme, row, [&designation, class], column, ours, "in"))
    .collect()
}

/// Machinery's Handbook, 27th ed., p. 1844, table 13: Stub Acme form by threads per inch. It does not depend on the
/// diameter.
fn stub_acme_form(row: &Row) -> Vec<Value> {
    // 1.33333 threads per inch is a pitch of 3/4 in.
    let tpi = row.number("tpi");
    let p = Length::inch(if (tpi - 4.0 / 3.0).abs() < 1e-4 { 0.75 } else { 1.0 / tpi });
    let d = Length::inch(10.0);
    let basic = Family::StubAcme.form().basic(d, p);
    // The source takes the flat at the root from the rounded flat at the crest.
    let narrower = basic.crest_width - basic.root_width_internal;
    let pitch = format!("{} tpi", row.text("tpi"));
    [
        ("pitch_in", p.to_inch()),
        ("h_in", (d - basic.d1_internal).to_inch() / 2.0),
        ("total_height_in", (d - basic.d3).to_inch() / 2.0),
        ("t_in", p.to_inch() / 2.0),
        ("crest_int_in", basic.crest_width.to_inch()),
        ("root_flat_int_in", places(basic.crest_width) - places(narrower)),
    ]
    .into_iter()
    .map(|(column, ours)| Value::of_cell(Family::StubAcme, row, [&pitch, ""], column, ours, "in"))
    .collect()
}

/// Machinery's Handbook, 27th ed., p. 1854, table 4: class 2 tolerance, told by the nut's pitch diameter at either end of
/// the range of diameters; the lower end belongs to the range before, but for the first.
fn buttress_inch_tolerance(row: &Row) -> Vec<Value> {
    let (from, to) = (row.number("major_from_in"), row.number("major_thru_in"));
    let lower = if from == 0.5 { from } else { from + 1.0 / 64.0 };
    let range = format!("{} tpi d {from} to {to}", row.text("tpi"));
    [lower, to]
        .map(|d| {
            let thread = inch(Family::ButtressInch, Length::inch(d), row.number("tpi"));
            let ours = both(in_class(&thread, Element::Internal, "2B").pitch).to_inch();
            Value::of_cell(thread.family, row, [&range, "2B"], "class_2_pd_tol_in", ours, "in")
        })
        .to_vec()
}

/// ANSI/ASME B1.20.1-1983, table 2: what the program gives at the hand-tight plane and along the axis, and what follows
/// from that by the taper.
fn npt_basic(row: &Row) -> Vec<Value> {
    let thread: Thread = format!("{} NPT", row.text("name")).parse().expect("a listed size");
    let (basic, limits) = (thread.basic(), limits(&thread).expect("limits"));
    let extra = |what: ExtraKind| {
        let mut found = limits.extras.iter().filter(|extra| extra.element == Some(Element::External));
        found.find(|extra| extra.what == what).expect("an extra").range
    };
    let least = |what| extra(what).min.expect("a limit").to_inch();
    let gauge = extra(ExtraKind::GaugeLength);
    let l1 = (gauge.max.expect("a limit") + gauge.min.expect("a limit")).to_inch() / 2.0;
    let (e0, l2) = (least(ExtraKind::EndPitchDiameter), least(ExtraKind::UsefulThread));
    let per_length = thread.family.form().taper().expect("a taper").per_length;
    let all = [
        ("tpi", thread.pitch.length.to_tpi()),
        ("e0", e0),
        ("l1", l1),
        ("e1", basic.d2.to_inch()),
        ("l2", l2),
        ("height", (basic.d - basic.d3).to_inch() / 2.0),
        ("k0", basic.d3.to_inch() - l1 * per_length),
    ];
    let given = all.into_iter().filter(|(column, _)| !row.text(column).is_empty());
    let unit = |column| if column == "tpi" { "per in" } else { "in" };
    let designation = thread.to_string();
    given
        .map(|(column, ours)| {
            Value::of_cell(thread.family, row, [&designation, ""], column, ours, unit(column))
        })
        .collect()
}

/// Machinery's Handbook, 31st ed., p. 2130: over wires, without lead angle, M = d2 + 3 w - 0.866025 P for both forms.
fn over_wires(row: &Row) -> Vec<Value> {
    let forms = [("sharp_v", "sharp V"), ("uss", "USS")];
    forms
        .into_iter()
        .filter(|(column, _)| !row.text(column).is_empty())
        .map(|(column, form)| {
            let thread: Thread =
                format!("{}-{} {form}", row.text("nominal"), row.text("tpi")).parse().expect("a designation");
            let p = thread.pitch.length.to_inch();
            let over = thread.basic().d2.to_inch() + 3.0 * row.number("wire") - 3.0_f64.sqrt() / 2.0 * p;
            Value::of_cell(thread.family, row, [&thread.to_string(), ""], column, over, "in")
        })
        .collect()
}

/// ISO 228-1: basic sizes, and the tolerances told by the limits of class A and of the internal thread; class B has twice
/// the pitch diameter's.
fn bsp_tolerances(row: &Row) -> Vec<Value> {
    let designation = row.text("designation");
    let thread: Thread = designation.parse().expect("a listed size");
    let basic = thread.basic();
    let screw = in_class(&thread, Element::External, "A");
    let free = in_class(&thread, Element::External, "B");
    let nut = in_class(&thread, Element::Internal, "internal");
    [
        ("tpi", "", thread.pitch.length.to_tpi(), "per in"),
        ("major", "", basic.d.to_mm(), "mm"),
        ("pitch", "", basic.d2.to_mm(), "mm"),
        ("minor", "", basic.d1_internal.to_mm(), "mm"),
        ("pitch_tolerance", "A", both(screw.pitch).to_mm(), "mm"),
        ("pitch_tolerance", "B", both(free.pitch).to_mm() / 2.0, "mm"),
        ("pitch_tolerance", "internal", both(nut.pitch).to_mm(), "mm"),
        ("internal_minor_tolerance", "internal", both(nut.minor).to_mm(), "mm"),
        ("external_major_tolerance", "A", both(screw.major).to_mm(), "mm"),
    ]
    .into_iter()
    .map(|(column, class, ours, unit)| {
        Value::of_cell(thread.family, row, [designation, class], column, ours, unit)
    })
    .collect()
}
