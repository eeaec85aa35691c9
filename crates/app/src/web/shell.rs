//! The frame of every page.

use flankwise_store::JobHead;
use flankwise_thread::Unit;
use maud::{DOCTYPE, Markup, html};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, PercentEncode, utf8_percent_encode};

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

/// Links to what can be looked up without a job, for the bar; `here` is the address of the page itself.
pub fn places(here: &str) -> Markup {
    html! {
        nav.places aria-label="Look up" {
            @for (to, words) in [("/threads", "Threads"), ("/compare", "Compare"), ("/lathes", "Lathes")] {
                a href=(to) aria-current=[(to == here).then_some("page")] { (words) }
            }
        }
    }
}

/// What was put away of the texts kept at `at`, each to be looked at or brought back; nothing where nothing was.
pub fn put_away(at: &str, away: &[JobHead]) -> Markup {
    html! {
        @if !away.is_empty() {
            details {
                summary { "Put away (" (away.len()) ")" }
                ul.jobs {
                    @for kept in away {
                        li {
                            a href={ (at) "/" (kept.id) } { (kept.title) }
                            form.inline method="post" action={ (at) "/" (kept.id) "/bring-back" } { button.small { "Bring back" } }
                        }
                    }
                }
            }
        }
    }
}

/// What an address's query carries as it is, besides letters and digits.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_');

/// A text within an address's query.
pub fn escaped(text: &str) -> PercentEncode<'_> {
    utf8_percent_encode(text, PLAIN)
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
