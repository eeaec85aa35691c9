//! Running text broken into lines.

use super::{LEADING, base_line};
use crate::drawing::{Anchor, Drawing, Of, P, p};
use crate::font;

/// Words in one style.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Words. A no-break space (U+00A0) keeps a number with its unit; it is printed as a plain space.
    pub text: String,
    /// Bold.
    pub bold: bool,
    /// Role.
    pub of: Of,
}

impl Run {
    /// Plain words.
    pub fn new(text: impl Into<String>) -> Self {
        Self { text: text.into(), bold: false, of: Of::Note }
    }
    /// Bold words.
    pub fn bold(text: impl Into<String>) -> Self {
        Self { text: text.into(), bold: true, of: Of::Note }
    }
    /// Lesser words.
    pub fn faint(text: impl Into<String>) -> Self {
        Self { text: text.into(), bold: false, of: Of::Faint }
    }
}

/// One plain run.
pub fn plain(text: impl Into<String>) -> Vec<Run> {
    vec![Run::new(text)]
}

/// A stretch of one line: where it starts, and what it says.
#[derive(Clone, Debug)]
struct Piece {
    x: f64,
    run: Run,
}

/// Text set in lines.
#[derive(Clone, Debug)]
pub struct Words {
    lines: Vec<Vec<Piece>>,
    size: f64,
}

impl Words {
    /// Breaks runs into lines of at most `width`.
    pub fn set(runs: &[Run], size: f64, width: f64) -> Self {
        set(runs, size, width)
    }
    /// Height of all lines.
    pub fn height(&self) -> f64 {
        self.lines.len() as f64 * self.size * LEADING
    }
    /// Each line by itself.
    pub fn split(&self) -> impl Iterator<Item = Self> + use<> {
        let size = self.size;
        self.lines.clone().into_iter().map(move |line| Self { lines: vec![line], size })
    }
    /// Puts it on a drawing, upper left corner at `at`.
    pub fn draw(&self, d: &mut Drawing, at: P) {
        for (i, line) in self.lines.iter().enumerate() {
            let y = at.y + base_line(self.size) + i as f64 * self.size * LEADING;
            for piece in line {
                let words = piece.run.text.replace('\u{a0}', " ");
                d.text(p(at.x + piece.x, y), Anchor::Start, self.size, piece.run.bold, piece.run.of, words);
            }
        }
    }
    /// Puts it on a drawing, each line ending at `right`, upper edge at `top`.
    pub fn draw_right(&self, d: &mut Drawing, right: f64, top: f64) {
        for (i, line) in self.split().enumerate() {
            let y = top + i as f64 * self.size * LEADING;
            line.draw(d, p(right - line.width(), y));
        }
    }
    /// Width of the longest line.
    pub fn width(&self) -> f64 {
        let ends = self.lines.iter().filter_map(|l| l.last());
        ends.map(|e| e.x + font::width(&e.run.text, e.run.bold, self.size)).fold(0.0, f64::max)
    }
}

/// Breaks runs into lines of at most `width`: between words, and within a word only where it is wider than the
/// whole line.
pub fn set(runs: &[Run], size: f64, width: f64) -> Words {
    let mut lines: Vec<Vec<Piece>> = vec![Vec::new()];
    let mut x = 0.0;
    // A word may run over several runs ("22.53 mm" in bold and a full stop in plain): it breaks as one.
    for word in words(runs) {
        let Token::Text(parts) = word else {
            lines.push(Vec::new());
            x = 0.0;
            continue;
        };
        let measure = |parts: &[Run]| parts.iter().map(|r| font::width(&r.text, r.bold, size)).sum::<f64>();
        // Between two bold words the space is bold too, since they become one piece.
        let before = lines.last().and_then(|line| line.last()).is_some_and(|p| p.run.bold);
        let bold = before && parts.first().is_some_and(|r| r.bold);
        let gap = if x == 0.0 { 0.0 } else { font::width(" ", bold, size) };
        let mut parts = parts;
        if x + gap + measure(&parts) > width && x > 0.0 {
            lines.push(Vec::new());
            x = 0.0;
        } else {
            x += gap;
        }
        while measure(&parts) > width {
            let head = cut(&mut parts, size, width);
            place(&mut lines, &mut x, head, size);
            lines.push(Vec::new());
            x = 0.0;
        }
        place(&mut lines, &mut x, parts, size);
    }
    // Neighbouring words of one style become one piece, so that a reader can select and search whole phrases.
    let lines = lines.into_iter().map(|line| join(line, size)).collect();
    Words { lines, size }
}

enum Token {
    Text(Vec<Run>),
    Break,
}

fn words(runs: &[Run]) -> Vec<Token> {
    let mut words = Vec::new();
    let mut parts: Vec<Run> = Vec::new();
    let flush = |parts: &mut Vec<Run>, words: &mut Vec<Token>| {
        if !parts.is_empty() {
            words.push(Token::Text(std::mem::take(parts)));
        }
    };
    for run in runs {
        let mut text = String::new();
        let push = |text: &mut String, parts: &mut Vec<Run>| {
            if !text.is_empty() {
                parts.push(Run { text: std::mem::take(text), ..run.clone() });
            }
        };
        for c in run.text.chars() {
            match c {
                '\n' => {
                    push(&mut text, &mut parts);
                    flush(&mut parts, &mut words);
                    words.push(Token::Break);
                }
                c if c.is_whitespace() && c != '\u{a0}' => {
                    push(&mut text, &mut parts);
                    flush(&mut parts, &mut words);
                }
                c if c.is_control() => {}
                c => text.push(c),
            }
        }
        push(&mut text, &mut parts);
    }
    flush(&mut parts, &mut words);
    words
}

/// Takes as many characters off the front of a word as fit, at least one.
fn cut(parts: &mut Vec<Run>, size: f64, width: f64) -> Vec<Run> {
    let mut head: Vec<Run> = Vec::new();
    let mut used = 0.0;
    while !parts.is_empty() {
        let run = parts[0].clone();
        let mut taken = 0;
        for (i, c) in run.text.char_indices() {
            let w = font::width(c.encode_utf8(&mut [0; 4]), run.bold, size);
            if used + w > width && !(head.is_empty() && i == 0) {
                break;
            }
            used += w;
            taken = i + c.len_utf8();
        }
        if taken > 0 {
            head.push(Run { text: run.text[..taken].to_owned(), ..run.clone() });
        }
        if taken < run.text.len() {
            parts[0].text = run.text[taken..].to_owned();
            return head;
        }
        parts.remove(0);
    }
    head
}

fn place(lines: &mut [Vec<Piece>], x: &mut f64, parts: Vec<Run>, size: f64) {
    let Some(line) = lines.last_mut() else { return };
    for run in parts {
        let w = font::width(&run.text, run.bold, size);
        line.push(Piece { x: *x, run });
        *x += w;
    }
}

fn join(line: Vec<Piece>, size: f64) -> Vec<Piece> {
    let mut joined: Vec<Piece> = Vec::new();
    let mut end = 0.0;
    for piece in line {
        let w = font::width(&piece.run.text, piece.run.bold, size);
        if let Some(last) = joined.last_mut()
            && last.run.bold == piece.run.bold
            && last.run.of == piece.run.of
        {
            if piece.x > end + 1e-6 {
                last.run.text.push(' ');
            }
            last.run.text.push_str(&piece.run.text);
            end = piece.x + w;
            continue;
        }
        end = piece.x + w;
        joined.push(piece);
    }
    joined
}

/// Words cut to a width, with an ellipsis.
pub fn fitted(words: &str, bold: bool, size: f64, width: f64) -> String {
    if font::width(words, bold, size) <= width {
        return words.to_owned();
    }
    // Character by character: measuring the whole again for each one less would take the square of its length.
    let mut room = width - font::width("…", bold, size);
    let mut short = String::new();
    for c in words.chars() {
        room -= font::width(c.encode_utf8(&mut [0; 4]), bold, size);
        if room < 0.0 {
            break;
        }
        short.push(c);
    }
    format!("{}…", short.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What follows a bold phrase starts where the phrase ends.
    #[test]
    fn a_bold_phrase_is_as_wide_as_its_words_with_their_spaces() {
        let set =
            set(&[Run::bold("Single point, into a groove"), Run::new(", because of the wear")], 3.6, 120.0);
        let [phrase, rest] = &set.lines[0][..] else { panic!("{:?}", set.lines) };
        let end = phrase.x + font::width(&phrase.run.text, true, 3.6);
        assert!((rest.x - end).abs() < 0.05, "{} against {end}", rest.x);
    }

    #[test]
    fn no_line_is_wider_than_asked_and_no_word_is_lost() {
        let text =
            "Turn the bore to 17.05\u{a0}mm before threading; averyveryverylongwordwithoutanyspace ends it.";
        for width in [12.0, 30.0, 80.0, 400.0] {
            let set = set(&plain(text), 3.0, width);
            assert!(set.width() <= width + 1e-3, "{width}: {}", set.width());
            let all: String = set.lines.iter().flatten().map(|p| p.run.text.clone()).collect();
            let bare = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            assert_eq!(bare(&all), bare(text));
        }
    }

    #[test]
    fn cuts_long_words_to_the_width() {
        let short = fitted(&"Lindenhof Bindery ".repeat(9), false, 3.0, 50.0);
        assert!(short.ends_with('…') && font::width(&short, false, 3.0) <= 50.0, "{short}");
        assert_eq!(fitted("short", false, 3.0, 50.0), "short");
    }

    #[test]
    fn keeps_a_number_with_its_unit() {
        let set = set(&plain("about 17.05\u{a0}mm"), 3.0, font::width("about 17.05 m", false, 3.0));
        assert_eq!(set.lines.len(), 2);
        assert_eq!(set.lines[1][0].run.text, "17.05\u{a0}mm");
    }
}
