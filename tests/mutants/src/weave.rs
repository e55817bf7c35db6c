//! All mutants of a file woven into its source at once: each waits for its number.

use crate::find::{Mutant, Place};

/// The module that says which mutant is on; stands in the woven copy alone. In a constant none is ever on.
pub const SWITCH: &str = r#"
pub mod mutant {
    extern crate std;
    use core::sync::atomic::{AtomicU32, Ordering};
    static ON: AtomicU32 = AtomicU32::new(u32::MAX);
    #[cold]
    fn ask() -> u32 {
        let number = std::env::var("MUTANT").ok().and_then(|n| n.parse().ok()).unwrap_or(0);
        ON.store(number, Ordering::Relaxed);
        number
    }
    fn running(number: u32) -> bool {
        let on = ON.load(Ordering::Relaxed);
        number == if on == u32::MAX { ask() } else { on }
    }
    const fn never(_: u32) -> bool {
        false
    }
    #[inline]
    pub const fn on(number: u32) -> bool {
        core::intrinsics::const_eval_select((number,), never, running)
    }
}
"#;

/// The source with its mutants in it. `first` is the number of the first.
pub fn weave(source: &str, mutants: &[Mutant], first: usize) -> String {
    // What is put in at a byte: ends before beginnings; the wider begins first, the narrower ends first.
    let mut put: Vec<(usize, u8, usize, String)> = Vec::new();
    let mut spans: Vec<(std::ops::Range<usize>, Place)> =
        mutants.iter().map(|m| (m.span.clone(), m.place)).collect();
    spans.sort_by_key(|(span, place)| (span.start, span.end, *place as u8));
    spans.dedup();
    for (span, place) in spans {
        let here = mutants
            .iter()
            .enumerate()
            .filter(|(_, m)| m.span == span && m.place == place)
            .map(|(index, m)| (first + index, &m.to));
        let width = span.end - span.start;
        match place {
            Place::Body => {
                let leave: String = here
                    .map(|(n, to)| format!(" if crate::mutant::on({n}) {{ {to}; }}"))
                    .collect();
                put.push((span.end, 2, 0, leave));
            }
            Place::Statement => {
                let before: String = here
                    .map(|(n, _)| format!("if !crate::mutant::on({n}) {{ "))
                    .collect();
                put.push((span.start, 1, usize::MAX - 2 * width - 1, before));
                put.push((span.end, 0, 2 * width + 1, " }".to_owned()));
            }
            Place::Expression => {
                let begin: String = here
                    .map(|(n, to)| format!("if crate::mutant::on({n}) {{ {to} }} else "))
                    .collect();
                // An arm that is a block may do without its comma: what stands for it must, too.
                let block = source[span.clone()].starts_with('{');
                let (open, close) = if block { ("", " }") } else { ("(", " })") };
                put.push((
                    span.start,
                    1,
                    usize::MAX - 2 * width,
                    format!("{open}{begin}{{ "),
                ));
                put.push((span.end, 0, 2 * width, close.to_owned()));
            }
        }
    }
    put.sort();
    let mut woven = String::with_capacity(source.len() * 4);
    let mut at = 0;
    for (position, _, _, text) in put {
        woven.push_str(&source[at..position]);
        woven.push_str(&text);
        at = position;
    }
    woven.push_str(&source[at..]);
    woven
}
