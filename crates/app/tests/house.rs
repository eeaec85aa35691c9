//! Rules of the house that a compiler does not hold: which way imports point, where numbers may come from, and
//! what must not be in the tree.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// What of a source text ships: unit tests stand in a module at the end of a file, or in a file of their own.
fn shipped<'t>(path: &Path, text: &'t str) -> &'t str {
    if path.ends_with("tests.rs") { "" } else { text.split("#[cfg(test)]").next().unwrap_or_default() }
}

/// Every file below `dir`, build output and version control left out.
fn files(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).expect("a readable folder").map(|e| e.expect("a readable entry").path()) {
        let name = entry.file_name().and_then(|n| n.to_str()).unwrap_or_default().to_owned();
        if matches!(name.as_str(), "target" | ".git" | "corpus" | "artifacts") {
            continue;
        }
        if entry.is_dir() {
            found.extend(files(&entry));
        } else {
            found.push(entry);
        }
    }
    found
}

fn rust_files(dir: &Path) -> Vec<(PathBuf, String)> {
    files(dir)
        .into_iter()
        .filter(|p| p.extension().is_some_and(|e| e == "rs"))
        .map(|p| {
            let text = fs::read_to_string(&p).expect("UTF-8 source");
            (p, text)
        })
        .collect()
}

/// The crates, each with those of ours that it may import.
const CRATES: [(&str, &[&str]); 6] = [
    ("thread", &[]),
    ("bench", &["thread"]),
    ("photo", &["thread"]),
    ("sheet", &["thread", "bench"]),
    ("store", &[]),
    ("app", &["thread", "bench", "photo", "sheet", "store"]),
];

/// Names of our crates under `[dependencies]` of a manifest.
fn imports(manifest: &str) -> Vec<String> {
    let mut inside = false;
    let mut found = Vec::new();
    for line in manifest.lines() {
        if line.starts_with('[') {
            inside = line.trim() == "[dependencies]";
        } else if inside && let Some(rest) = line.strip_prefix("flankwise-") {
            found.extend(rest.split(['.', ' ', '=']).next().map(str::to_owned));
        }
    }
    found
}

#[test]
fn crates_import_downward_only() {
    for (name, may) in CRATES {
        let manifest =
            fs::read_to_string(root().join("crates").join(name).join("Cargo.toml")).expect("a manifest");
        for import in imports(&manifest) {
            assert!(may.contains(&import.as_str()), "crates/{name} imports {import}; it may import {may:?}");
        }
    }
    let there: Vec<_> =
        fs::read_dir(root().join("crates")).expect("crates").flatten().map(|e| e.file_name()).collect();
    for dir in there {
        assert!(CRATES.iter().any(|(n, _)| dir == *n), "crates/{} has no rule here", dir.display());
    }
}

/// Modules of `bench` by rank: a module may import from lower ranks and its own.
const RANKS: &[&[&str]] = &[
    &["report"],
    &["iso286", "material", "job", "reference"],
    &["evidence"],
    &["identity"],
    &["fit"],
    &["route", "tool"],
    &["setup"],
    &["cut"],
    &["check"],
    &["whole"],
    &["order", "quotation"],
];

fn rank(module: &str) -> Option<usize> {
    RANKS.iter().position(|r| r.contains(&module))
}

/// The modules of the crate that a source text names, as `crate::x` or within `crate::{x, y}`.
fn named(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("crate::") {
        let rest = &text[at + "crate::".len()..];
        if let Some(group) = rest.strip_prefix('{') {
            let group = &group[..group.find('}').unwrap_or(group.len())];
            found.extend(group.split(',').map(first_word));
        } else {
            found.push(first_word(rest));
        }
    }
    found
}

fn first_word(text: &str) -> String {
    text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

#[test]
fn stages_import_leftward_only() {
    let src = root().join("crates/bench/src");
    let mut seen = 0;
    for (path, text) in rust_files(&src) {
        let inside = path.strip_prefix(&src).expect("below src");
        let module = inside.components().next().and_then(|c| c.as_os_str().to_str()).unwrap_or_default();
        let module = module.trim_end_matches(".rs");
        if module == "lib" {
            continue;
        }
        let here = rank(module).unwrap_or_else(|| panic!("bench module {module} has no rank in this test"));
        // Tests may build a whole job; the rule is for what ships.
        for name in named(shipped(&path, &text)).into_iter().filter(|n| !n.is_empty()) {
            let Some(there) = rank(&name) else { continue };
            assert!(there <= here, "{} imports {name}, which lies to the right of it", path.display());
            assert!(
                there < here || name == module || here <= 1,
                "{} imports {name}, which stands beside it",
                path.display()
            );
            seen += 1;
        }
    }
    assert!(seen > 10, "the test reads imports at all");
}

#[test]
fn the_import_test_sees_a_wrong_import() {
    assert_eq!(named("use crate::cut::Cut;\nuse crate::{check, fit::Fit};"), ["cut", "check", "fit"]);
    assert!(rank("cut") > rank("fit"));
}

#[test]
fn stages_do_no_input_or_output_and_read_no_clock() {
    for krate in ["thread", "bench"] {
        for (path, text) in rust_files(&root().join("crates").join(krate).join("src")) {
            let shipped = shipped(&path, &text);
            for word in
                ["std::fs", "std::net", "std::env", "SystemTime", "Instant::now", "println!", "eprintln!"]
            {
                assert!(!shipped.contains(word), "{} uses {word}", path.display());
            }
        }
    }
}

#[test]
fn every_module_opens_with_what_it_is() {
    for (path, text) in rust_files(&root().join("crates")) {
        if path.components().any(|c| c.as_os_str() == "src") {
            assert!(text.starts_with("//!"), "{} has no head", path.display());
        }
    }
}

#[test]
fn every_table_says_its_source() {
    let mut tables = 0;
    for path in files(&root().join("crates")) {
        let in_data = path.components().any(|c| c.as_os_str() == "data");
        if in_data && path.extension().is_some_and(|e| e == "csv") {
            let text = fs::read_to_string(&path).expect("UTF-8 table");
            assert!(text.starts_with('#'), "{} has no head with its source", path.display());
            let head = text.lines().find(|l| !l.starts_with('#')).unwrap_or_default();
            assert!(
                head.split(',').any(|c| c.trim().contains("source"))
                    || text.lines().any(|l| l.starts_with("# source")),
                "{} has neither a source column nor a `# source` line",
                path.display()
            );
            tables += 1;
        }
    }
    assert!(tables >= 5, "the tables are there");
}

#[test]
fn nothing_third_party_and_no_machine_path_is_in_the_tree() {
    // Spelt in pieces, so that this file does not hold what it looks for.
    let paths: Vec<String> =
        ["/wo!rk/", "/ro!ot/", "C:!\\Users"].iter().map(|p| p.replace('!', "")).collect();
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    for path in files(&root()) {
        let ext = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_owned();
        *kinds.entry(ext.clone()).or_default() += 1;
        assert!(
            !matches!(ext.as_str(), "ttf" | "otf" | "woff" | "woff2" | "min.js" | "wasm" | "so" | "db"),
            "{} does not belong in the tree",
            path.display()
        );
        if let Ok(text) = fs::read_to_string(&path) {
            for p in &paths {
                assert!(!text.contains(p.as_str()), "{} names a path of one machine: {p}", path.display());
            }
        }
    }
    assert!(kinds["rs"] > 30);
}
