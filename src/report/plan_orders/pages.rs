//! Sections put onto printed pages: what does not fit goes to the next page, and nothing is cut.

use super::PAGE_LINES;

/// Lines that stay together where a page can hold them.
pub(super) struct Block {
    pub(super) lines: Vec<String>,
    /// Whether a blank line stands before it.
    begins: bool,
}

impl Block {
    /// A section that stays together; none if it says nothing.
    pub(super) fn section(text: &str) -> Option<Self> {
        let lines: Vec<String> = text.lines().map(str::to_owned).collect();
        (!lines.is_empty()).then_some(Self { lines, begins: true })
    }

    /// A list that may go on on the next page; its title stays with its first entry.
    pub(super) fn list(title: &str, entries: &[Vec<String>]) -> Vec<Self> {
        let block = |(at, entry): (usize, &Vec<String>)| {
            let title = (at == 0).then(|| title.to_owned());
            let lines = title.into_iter().chain(entry.iter().cloned()).collect();
            Self { lines, begins: at == 0 }
        };
        entries.iter().enumerate().map(block).collect()
    }

    /// The same in pieces that a page can hold.
    fn pieces(&self, most: usize) -> Vec<Self> {
        let piece = |(at, lines): (usize, &[String])| Self {
            lines: lines.to_vec(),
            begins: self.begins && at == 0,
        };
        self.lines.chunks(most).enumerate().map(piece).collect()
    }
}

/// All lines, with a blank one before each section but the first.
pub(super) fn joined(blocks: &[Block]) -> Vec<String> {
    let mut lines = Vec::new();
    for block in blocks {
        add(&mut lines, block);
    }
    lines
}

/// One page without a number, or several that say how many they are. Each but the last is filled with blank lines, so
/// that a printer of [`PAGE_LINES`] lines begins the next one with its head.
pub(super) fn paged(blocks: &[Block], continued: &str) -> String {
    let whole = joined(blocks);
    if whole.len() <= PAGE_LINES {
        return whole.join("\n") + "\n";
    }
    let bodies = bodies(blocks, continued);
    let all = bodies.len();
    let mut lines = Vec::new();
    for (at, mut body) in bodies.into_iter().enumerate() {
        if at + 1 < all {
            body.resize(BODY_LINES, String::new());
        }
        lines.extend(body);
        let foot = format!("page {} of {all}; valid only with all pages", at + 1);
        lines.extend([String::new(), foot]);
    }
    lines.join("\n") + "\n"
}

/// Lines of a page of several: the last but one is blank, the last says which page it is.
const BODY_LINES: usize = PAGE_LINES - 2;

/// What stands on each page, the first without the head of those that continue it.
fn bodies(blocks: &[Block], continued: &str) -> Vec<Vec<String>> {
    let head = || vec![continued.to_owned()];
    let mut bodies = Vec::new();
    let mut body: Vec<String> = Vec::new();
    // A page that continues holds its head and a blank line as well.
    let pieces = blocks.iter().flat_map(|block| block.pieces(BODY_LINES - 2));
    for piece in pieces {
        let mut longer = body.clone();
        add(&mut longer, &piece);
        if longer.len() > BODY_LINES {
            bodies.push(std::mem::replace(&mut body, head()));
            longer.clone_from(&body);
            add(&mut longer, &Block { begins: true, ..piece });
        }
        body = longer;
    }
    bodies.push(body);
    bodies
}

fn add(lines: &mut Vec<String>, block: &Block) {
    if block.begins && !lines.is_empty() {
        lines.push(String::new());
    }
    lines.extend(block.lines.iter().cloned());
}
