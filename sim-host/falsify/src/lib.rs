//! Tries to break what a verdict claims: every fault at every moment ([`faults`]), a search for the machine, batch and moment that
//! drive a requirement's margin down ([`seek`]), the smallest journal that still shows what was found ([`shrink`]), and a journal's run
//! again, judged ([`again`](mod@again)).
//!
//! Pure: no file is read, nothing is printed; long work takes a progress callback.
//!
//! The machine, batch and moment that bring the first contact nearest to its limit, and their run again from its journal:
//!
//! ```
//! use twinplate_falsify::again::again;
//! use twinplate_falsify::seek::{SearchPlan, Question, Target, seek};
//!
//! let question = Question::new(twinplate_sim::demo::job("glass-f800"))?;
//! let plan = SearchPlan { evaluations: 24, threads: 2, seed: 1, stop_at_violation: true };
//! let found = seek(&question, Target::FirstContact, &plan, &|| true, &|_| ())?;
//! let worst = &found.least().ok_or("nothing was evaluated")?.measured;
//! println!("{}: {} {} left", found.target.what(), worst.margin, found.target.unit());
//! let repeated = again(question.whole(), &worst.journal)?;
//! println!("verdict: {}", repeated.verdict().word());
//! # assert!(!found.violated());
//! # assert_eq!(repeated.same, Some(true));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod again;
pub mod faults;
pub mod seek;
pub mod shrink;
