//! The frame of every page.

use flankwise_thread::Unit;
use maud::{DOCTYPE, Markup, html};

/// A page with `title`, the top bar's own content, and the main content.
pub fn page(title: &str, unit: Unit, bar: &Markup, main: &Markup, script: Option<&str>) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light";
                title { (title) " · flankwise" }
                link rel="icon" href="/icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="/style.css";
                @if let Some(script) = script { script src=(script) defer {} }
            }
            body data-unit=(unit_word(unit)) {
                a.skip href="#main" { "To the content" }
                header.bar {
                    a.home href="/" { "flankwise" }
                    (bar)
                    (unit_switch(unit))
                }
                main #main tabindex="-1" { (main) }
            }
        }
    }
}

/// `mm` or `in`, as the cookie and the address have it.
pub const fn unit_word(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "in",
    }
}

fn unit_switch(unit: Unit) -> Markup {
    html! {
        form.unit method="post" action="/unit" {
            fieldset {
                legend.quiet { "Unit shown" }
                @for u in [Unit::Mm, Unit::Inch] {
                    button name="unit" value=(unit_word(u)) aria-pressed=(if u == unit { "true" } else { "false" }) {
                        (unit_word(u))
                    }
                }
            }
        }
    }
}

/// A page that says what went wrong and where to go on.
pub fn trouble(title: &str, words: &str, back: &str) -> Markup {
    page(
        title,
        Unit::Mm,
        &html! {},
        &html! {
            h1 { (title) }
            p.note.impossible { (words) }
            p { a.button href=(back) { "Go back" } }
        },
        None,
    )
}
