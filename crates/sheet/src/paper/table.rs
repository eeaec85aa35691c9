//! Tables that break between rows and repeat their head.

use super::lines::{Run, Words, set};
use super::{BODY, LESSER, Paper, WIDTH};
use crate::drawing::{Fill, Line, Of, p};

/// Side to which a column's cells stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Align {
    /// Words.
    #[default]
    Left,
    /// Numbers.
    Right,
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Words.
    Words(Vec<Run>),
    /// A square to tick.
    Tick,
    /// Room to write a reading in, so many mm wide.
    Blank(f64),
}

/// A table to lay out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Grid {
    /// Caption; empty for none.
    pub title: String,
    /// Heads.
    pub heads: Vec<String>,
    /// Sides.
    pub aligns: Vec<Align>,
    /// Rows of as many cells.
    pub rows: Vec<Vec<Cell>>,
    /// Rows that stand out.
    pub best: Vec<usize>,
    /// Words below.
    pub foot: String,
    /// Size of the words; zero for the usual.
    pub size: f64,
}

impl Grid {
    /// The same rows in two halves side by side, where both go into the text width: half the height.
    #[must_use]
    pub fn doubled(self) -> Self {
        let width = total(&widths(&self, self.size()));
        if self.rows.len() < 4 || !self.best.is_empty() || 2.0 * width + 3.0 * GUTTER > WIDTH {
            return self;
        }
        let half = self.rows.len().div_ceil(2);
        let gap = || Cell::Words(vec![Run::new("  ")]);
        let empty = vec![Cell::Words(Vec::new()); self.heads.len()];
        let (left, right) = self.rows.split_at(half);
        let rows = left.iter().enumerate().map(|(i, row)| {
            let other = right.get(i).unwrap_or(&empty);
            row.iter().cloned().chain([gap()]).chain(other.iter().cloned()).collect()
        });
        let twice =
            |v: &[String]| v.iter().cloned().chain([String::new()]).chain(v.iter().cloned()).collect();
        let aligns = self.aligns.iter().copied().chain([Align::Left]).chain(self.aligns.iter().copied());
        Self { heads: twice(&self.heads), aligns: aligns.collect(), rows: rows.collect(), ..self }
    }

    fn size(&self) -> f64 {
        if self.size > 0.0 { self.size } else { BODY * 0.94 }
    }
}

/// Lines that a head is broken into at most, where there is room.
const HEAD_LINES: f64 = 2.5;
/// A table no higher than this is not broken over two pages.
const TOGETHER: f64 = 70.0;
/// Space between columns.
const GUTTER: f64 = 3.2;
/// Space above and below the words of a row.
const PAD: f64 = 0.55;
const TICK: f64 = 3.4;
/// So many rows at the end of a table are not parted.
const LAST_ROWS: usize = 4;

fn least_and_natural(cell: &Cell, size: f64) -> (f64, f64) {
    match cell {
        Cell::Words(runs) => {
            let natural = set(runs, size, f64::INFINITY).width();
            // The longest word: asking for no width would break words, so each is measured by itself.
            let least = runs
                .iter()
                .flat_map(|r| {
                    r.text.split(|c: char| c.is_whitespace() && c != '\u{a0}').map(move |w| (w, r.bold))
                })
                .map(|(w, bold)| crate::font::width(w, bold, size))
                .fold(0.0, f64::max);
            (least, natural)
        }
        Cell::Tick => (TICK, TICK),
        Cell::Blank(w) => (*w, *w),
    }
}

/// Widths of the columns: natural ones where they fit, else shrunk toward their longest words.
fn widths(grid: &Grid, size: f64) -> Vec<f64> {
    let n = grid.heads.len();
    let mut least = vec![0.0f64; n];
    let mut natural = vec![0.0f64; n];
    let mut heads = vec![0.0f64; n];
    for (i, head) in grid.heads.iter().enumerate() {
        let (l, w) = least_and_natural(&Cell::Words(vec![Run::bold(head.clone())]), size.min(LESSER));
        // Heads may break into lines; they never set the width beyond their longest word.
        least[i] = l;
        natural[i] = l.max(w.min(22.0));
        heads[i] = w;
    }
    let mut words = vec![0.0f64; n];
    let mut cells: Vec<Vec<f64>> = Vec::with_capacity(grid.rows.len());
    for row in &grid.rows {
        let mut wide = Vec::with_capacity(n);
        for (i, cell) in row.iter().enumerate().take(n) {
            let (l, w) = least_and_natural(cell, size);
            least[i] = least[i].max(l);
            natural[i] = natural[i].max(w);
            words[i] = words[i].max(w);
            wide.push(w);
        }
        cells.push(wide);
    }
    // A column of words narrower than this is hard to read, even where another column sets the row's height; so is a
    // head of one word to the line.
    let readable: Vec<f64> =
        (0..n).map(|i| least[i].max(words[i].min(20.0)).max(heads[i] / HEAD_LINES)).collect();
    if readable.iter().sum::<f64>() < WIDTH * 0.9 {
        least = readable;
    }
    let room = WIDTH - GUTTER * (n.max(1) as f64 - 1.0);
    let (sum_least, sum_natural): (f64, f64) = (least.iter().sum(), natural.iter().sum());
    if sum_natural <= room {
        return natural;
    }
    if sum_least >= room {
        // Even single words are too wide: share by need, and let words break.
        return least.iter().map(|l| l * room / sum_least).collect();
    }
    share(&least, &natural, &cells, room)
}

/// Shares out the room left over the least widths, bit by bit, each bit to the column that shortens the table
/// most; where no single column does, to the one whose words are squeezed most.
fn share(least: &[f64], natural: &[f64], cells: &[Vec<f64>], room: f64) -> Vec<f64> {
    const BIT: f64 = 1.0;
    let lines = |cell: f64, width: f64| if cell <= width { 1.0 } else { (cell / (width * 0.9)).ceil() };
    let height = |widths: &[f64]| -> f64 {
        cells.iter().map(|row| row.iter().zip(widths).map(|(c, w)| lines(*c, *w)).fold(1.0, f64::max)).sum()
    };
    let mut widths = least.to_vec();
    let mut spare = room - least.iter().sum::<f64>();
    while spare >= BIT {
        let open: Vec<usize> = (0..widths.len()).filter(|&i| widths[i] < natural[i]).collect();
        let now = height(&widths);
        let gain = |i: usize| {
            let mut tried = widths.clone();
            tried[i] += 3.0 * BIT;
            now - height(&tried)
        };
        let squeezed = |i: usize| {
            let all: f64 = cells.iter().map(|row| row.get(i).copied().unwrap_or(0.0)).sum();
            all / widths[i].max(0.1)
        };
        let best = open
            .into_iter()
            .max_by(|&a, &b| gain(a).total_cmp(&gain(b)).then(squeezed(a).total_cmp(&squeezed(b))));
        let Some(best) = best else { break };
        widths[best] += BIT;
        spare -= BIT;
    }
    widths
}

struct Laid {
    sets: Vec<Option<Words>>,
    height: f64,
}

fn lay_row(cells: &[Cell], widths: &[f64], size: f64) -> Laid {
    let sets: Vec<Option<Words>> = cells
        .iter()
        .zip(widths)
        .map(|(cell, w)| match cell {
            Cell::Words(runs) => Some(set(runs, size, *w + 1e-6)),
            Cell::Tick | Cell::Blank(_) => None,
        })
        .collect();
    let words = sets.iter().flatten().map(Words::height).fold(0.0, f64::max);
    let boxes = cells
        .iter()
        .map(|c| match c {
            Cell::Tick => TICK + 0.6,
            Cell::Blank(_) => 6.4,
            Cell::Words(_) => 0.0,
        })
        .fold(0.0, f64::max);
    Laid { sets, height: words.max(boxes) + 2.0 * PAD }
}

/// Lays a table out.
pub(super) fn lay(paper: &mut Paper, grid: &Grid) {
    let size = grid.size();
    let widths = widths(grid, size);
    let heads: Vec<Cell> = grid.heads.iter().map(|h| Cell::Words(vec![Run::bold(h.clone())])).collect();
    let head = lay_row(&heads, &widths, size.min(LESSER));
    let rows: Vec<Laid> = grid.rows.iter().map(|r| lay_row(r, &widths, size)).collect();
    let together = kept_together(head.height, &rows);
    if !grid.title.is_empty() {
        paper.subheading(&grid.title, together);
    }
    paper.keep(together);
    draw_head(paper, grid, &head, &widths);
    for (i, (row, cells)) in rows.iter().zip(&grid.rows).enumerate() {
        if turns(paper.room(), &rows, i) {
            paper.page();
            draw_head(paper, grid, &head, &widths);
        }
        let best = grid.best.contains(&i);
        draw_row(paper, grid, row, cells, &widths, best);
    }
    if !grid.foot.is_empty() {
        paper.paragraph_in(&[Run::faint(grid.foot.clone())], LESSER, 0.0, WIDTH);
    }
}

/// Height that goes onto one page: all of a small table, else its head and first rows.
fn kept_together(head: f64, rows: &[Laid]) -> f64 {
    let high = |count: usize| head + rows.iter().take(count).map(|r| r.height).sum::<f64>();
    let all = high(rows.len());
    if all <= TOGETHER { all } else { high(2).min(45.0) }
}

/// Whether row `i` goes to the next page: where it does not fit, or where fewer than the last rows would stand there.
fn turns(room: f64, rows: &[Laid], i: usize) -> bool {
    let with = if i > 0 && i + LAST_ROWS == rows.len() { LAST_ROWS } else { 1 };
    room < rows[i..].iter().take(with).map(|r| r.height).sum()
}

fn total(widths: &[f64]) -> f64 {
    widths.iter().sum::<f64>() + GUTTER * (widths.len().max(1) as f64 - 1.0)
}

fn draw_head(paper: &mut Paper, grid: &Grid, head: &Laid, widths: &[f64]) {
    let at = paper.here();
    if grid.heads.iter().all(String::is_empty) {
        paper.ink().line(at, at + p(total(widths), 0.0), Line::Narrow, Of::Note);
        return;
    }
    let cells: Vec<Cell> = grid.heads.iter().map(|_| Cell::Words(Vec::new())).collect();
    draw_row(paper, grid, head, &cells, widths, false);
    let at = paper.here();
    let w = total(widths);
    paper.ink().line(at, at + p(w, 0.0), Line::Narrow, Of::Note);
}

fn draw_row(paper: &mut Paper, grid: &Grid, row: &Laid, cells: &[Cell], widths: &[f64], best: bool) {
    let at = paper.here();
    let w = total(widths);
    let d = paper.ink();
    if best {
        d.rect(at - p(1.5, 0.0), at + p(w + 1.5, row.height), None, Fill::Tint, Of::Mate);
    }
    let mut x = at.x;
    for (i, width) in widths.iter().enumerate() {
        match (&row.sets.get(i), cells.get(i)) {
            (Some(Some(words)), _) => {
                let shift = match grid.aligns.get(i) {
                    Some(Align::Right) => (width - words.width()).max(0.0),
                    _ => 0.0,
                };
                words.draw(d, p(x + shift, at.y + PAD));
            }
            (_, Some(Cell::Tick)) => {
                let y = at.y + (row.height - TICK) / 2.0;
                d.rect(p(x, y), p(x + TICK, y + TICK), Some(Line::Narrow), Fill::None, Of::Note);
            }
            (_, Some(Cell::Blank(_))) => {
                let y = at.y + row.height - 1.4;
                d.line(p(x, y), p(x + width, y), Line::Narrow, Of::Note);
            }
            _ => {}
        }
        x += width + GUTTER;
    }
    d.line(at + p(0.0, row.height), at + p(w, row.height), Line::Hair, Of::Faint);
    paper.take(row.height);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(count: usize) -> Vec<Laid> {
        (0..count).map(|_| Laid { sets: Vec::new(), height: 6.0 }).collect()
    }

    #[test]
    fn a_small_table_stays_whole_and_a_long_one_keeps_its_first_rows() {
        assert_eq!(kept_together(5.0, &rows(4)), 29.0);
        assert_eq!(kept_together(5.0, &rows(20)), 17.0);
    }

    #[test]
    fn no_row_stands_alone_at_the_top_of_a_page() {
        let rows = rows(20);
        assert!(!turns(6.0, &rows, 3) && turns(5.9, &rows, 3));
        assert!(turns(11.9, &rows, 18) && !turns(12.0, &rows, 18));
        assert!(!turns(6.0, &rows, 19));
    }

    #[test]
    fn a_head_of_many_words_is_not_set_one_to_the_line() {
        let cell = |text: &str| Cell::Words(vec![Run::new(text)]);
        let grid = Grid {
            heads: vec!["as long for the same load (mm)".into(), "what it takes up".into()],
            aligns: vec![Align::Right, Align::Left],
            rows: vec![vec![cell("44.0"), cell(&"wear where it is tightest ".repeat(9))]],
            ..Grid::default()
        };
        let head = lay_row(
            &[Cell::Words(vec![Run::bold(grid.heads[0].clone())])],
            &widths(&grid, grid.size()),
            LESSER,
        );
        let line = lay_row(&[cell("x")], &[20.0], LESSER).height - 2.0 * PAD;
        assert!(head.height - 2.0 * PAD < 3.1 * line, "{} lines", (head.height - 2.0 * PAD) / line);
    }
}
