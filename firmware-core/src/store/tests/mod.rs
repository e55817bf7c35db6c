//! The store on a flash of ours, as it should be; `cuts` takes the power away.

mod cuts;
mod nor;
mod page;
mod place;
mod published;

use super::layout::{MAX_PAYLOAD, MAX_REST, MIN_BANK};
use super::*;
use crate::params;
use crate::plate_form::{FormControl, MAX_SETTINGS, RingSetting};
use crate::recipe::{self, EndWire, MAX_STEPS, RecipeRule, RecipeWire};
use crate::sequence::{Phase, State};
use crate::status::Status;
use crate::units::{Micrometres, Newtons, Ratio, Rpm, Ticks};
use embedded_storage::nor_flash::NorFlash;
use heapless::String;
use nor::{Nor, Random, Twice};

/// Sectors of 4 KiB, words of 4 bytes: a common flash.
type Common = Nor<4, 4096>;

/// Two banks of 16 KiB: hardly more than a full store takes.
const SMALL: usize = 32 * 1024;

fn common() -> Common {
    Nor::new(SMALL, Twice::Refused, 1)
}

fn open<F: ReadNorFlash>(flash: F) -> Store<F> {
    Store::open(flash).expect("a flash that suits")
}

fn machine() -> CheckedParams {
    params::tests::sample().check().expect("valid")
}

fn checked(verdict: Verdict, recipe: &RecipeWire) -> Checked {
    Checked {
        verdict,
        program: String::try_from("0.1.0").unwrap(),
        inputs: 0x0123_4567_89AB_CDEF,
        recipe: fingerprint(recipe).unwrap(),
    }
}

/// A small recipe that the machine takes; `number` is in its name and its numbers.
fn small(number: u32) -> StoredRecipe {
    let mut recipe = recipe::sample(&machine(), 200.0, 300.0);
    let name = std::format!("small-{number}");
    recipe.name = String::try_from(name.as_str()).unwrap();
    recipe.prestart = Ticks(20_000 + number % 1000);
    StoredRecipe {
        checked: checked(Verdict::Pass, &recipe),
        recipe,
    }
}

/// The largest recipe there is: every list full, every number as long as it gets.
fn largest(number: u32) -> StoredRecipe {
    let mut stored = small(number);
    let recipe = &mut stored.recipe;
    let name = std::format!("{number:0>24}");
    recipe.name = String::try_from(name.as_str()).unwrap();
    let mut step = recipe.steps[0];
    step.longest = Ticks(u32::MAX);
    step.end = EndWire::Time(Ticks(u32::MAX - number));
    while recipe.steps.push(step).is_ok() {}
    recipe.schema = u16::MAX;
    recipe.machine_id = u32::MAX;
    recipe.params_hash = u32::MAX;
    recipe.pieces = u16::MAX;
    recipe.prestart = Ticks(u32::MAX);
    recipe.rinse = Ticks(u32::MAX);
    let setting = RingSetting {
        reversed: false,
        trim: Ratio::new(0.0),
        change: [Micrometres::new(1.0); 2],
    };
    recipe.flatness = Some(FormControl {
        settings: core::iter::repeat_n(setting, MAX_SETTINGS).collect(),
        deadband: Micrometres::new(1.0),
        limit: Micrometres::new(2.0),
        longest: u16::MAX,
    });
    stored.checked = Checked {
        verdict: Verdict::Forced,
        program: String::try_from("0123456789abcdef").unwrap(),
        inputs: u64::MAX,
        recipe: u32::MAX,
    };
    stored
}

/// As large as a recipe of this version gets: it can be read again.
fn large(number: u32) -> StoredRecipe {
    let mut stored = largest(number);
    stored.recipe.schema = RECIPE_SCHEMA;
    stored
}

fn progress(step: u8, step_time: u32) -> Progress {
    let mut status = Status::blank(7);
    status.state = State::Running;
    status.phase = Phase::Dwell;
    status.step = step;
    status.step_time = Ticks(step_time);
    Progress::of(&status, Some(3), 0xDEAD_BEEF)
}

#[test]
fn a_flash_without_a_store_is_an_empty_one_and_opening_writes_nothing() {
    let mut store = open(common());
    for slot in 0..SLOTS {
        assert_eq!(store.recipe(slot), Err(StoreError::Empty));
    }
    assert_eq!(store.params(), Err(StoreError::Empty));
    assert_eq!(store.progress(), Err(StoreError::Empty));
    assert_eq!((store.erases(), store.room()), ([0, 0], 0));
    assert_eq!(store.note(&progress(0, 0)), Err(StoreError::Full));
    store.erase(3).expect("nothing to do");
    let flash = store.into_flash();
    assert_eq!((flash.steps, flash.bytes), (0, common().bytes));
}

#[test]
fn what_is_put_is_read_again_by_a_new_store_on_the_same_flash() {
    let mut store = open(common());
    for slot in 0..SLOTS {
        store.put(slot, &large(u32::from(slot))).unwrap();
    }
    store.put_params(&machine()).unwrap();
    store.make_room(50).unwrap();
    store.note(&progress(2, 61_000)).unwrap();
    store.put(5, &small(500)).unwrap();
    store.erase(6).unwrap();
    let mut store = open(store.into_flash());
    for slot in 0..SLOTS {
        let expected = match slot {
            5 => Ok(small(500)),
            6 => Err(StoreError::Empty),
            _ => Ok(large(u32::from(slot))),
        };
        assert_eq!(store.recipe(slot), expected, "slot {slot}");
    }
    assert_eq!(store.params().unwrap().check().unwrap(), machine());
    assert_eq!(store.progress(), Ok(progress(2, 61_000)));
    assert_eq!(store.recipe(SLOTS), Err(StoreError::NoSuchSlot));
    assert_eq!(store.put(SLOTS, &small(1)), Err(StoreError::NoSuchSlot));
    assert_eq!(store.erase(255), Err(StoreError::NoSuchSlot));
    assert!(!store.is_damaged());
}

/// The longest record of each kind fits, and the bank that is said to be enough is.
#[test]
fn the_largest_recipe_fits_the_record_and_a_full_store_the_smallest_bank() {
    let length = |stored: &StoredRecipe| postcard::to_slice(stored, &mut [0; 2000]).unwrap().len();
    let longest = length(&largest(1));
    assert!(
        (MAX_PAYLOAD - WORD..=MAX_PAYLOAD).contains(&longest),
        "{longest} of {MAX_PAYLOAD}"
    );
    assert_eq!(largest(1).recipe.steps.len(), MAX_STEPS);
    let mut params = machine().get().clone();
    params.schema = u16::MAX;
    params.cell_range_counts = i32::MIN;
    (params.machine_id, params.supply_min) = (u32::MAX, u16::MAX);
    let times = [
        &mut params.dead_time,
        &mut params.travel_time,
        &mut params.lift_time,
        &mut params.stop_time,
        &mut params.coast_time,
        &mut params.hold_time,
        &mut params.settle_limit,
    ];
    for time in times {
        *time = Ticks(u32::MAX);
    }
    let mut told = progress(255, u32::MAX);
    (told.schema, told.boots, told.recipe) = (u16::MAX, u16::MAX, u32::MAX);
    let mut bytes = [0; MAX_PAYLOAD];
    let size = |payload: usize| 2 * WORD + payload.next_multiple_of(WORD);
    let rest = size(postcard::to_slice(&params, &mut bytes).unwrap().len())
        + size(postcard::to_slice(&told, &mut bytes).unwrap().len());
    assert!((MAX_REST - 100..=MAX_REST).contains(&rest), "{rest}");
    let mut flash = Nor::<8, 8>::new(2 * MIN_BANK as usize, Twice::Refused, 1);
    for round in 0..3 {
        let mut store = open(flash);
        for slot in 0..SLOTS {
            store.put(slot, &largest(u32::from(slot) + round)).unwrap();
        }
        store.put_params(&machine()).unwrap();
        store.make_room(50).unwrap();
        store.note(&progress(1, round)).unwrap();
        flash = store.into_flash();
    }
    // One word less in each bank is refused, and nothing is written to it.
    let tight = Nor::<8, 8>::new(2 * MIN_BANK as usize - 16, Twice::Refused, 1);
    assert_eq!(Store::open(tight).unwrap_err(), StoreError::Unsuitable);
}

#[test]
fn a_flash_whose_words_or_sectors_do_not_fit_is_refused() {
    let mut coarse = open(Nor::<8, { 24 * 1024 }>::new(48 * 1024, Twice::Anded, 1));
    coarse.put(0, &small(1)).expect("one sector a bank");
    let mut across = open(Nor::<8, 4096>::new(9 * 4096, Twice::Anded, 1));
    assert_eq!(across.put(0, &small(1)), Err(StoreError::Unsuitable));
    let words = Store::open(Nor::<16, 4096>::new(SMALL, Twice::Anded, 1));
    assert_eq!(words.unwrap_err(), StoreError::Unsuitable);
}

/// The gate is that of a recipe from a wire: what one refuses, so does the other, for the same reasons.
#[test]
fn a_stored_recipe_is_recalled_through_the_check_against_this_machine() {
    let mut store = open(common());
    store.put(4, &small(4)).unwrap();
    let recalled = store.recall(4, &machine()).expect("made for this machine");
    assert_eq!(recalled, small(4).recipe.check(&machine()).unwrap());

    let mut wire = params::tests::sample();
    wire.rated = Newtons::new(301.0);
    wire.first_contact = Newtons::new(250.0);
    wire.speed_max = [Rpm::new(9.0); 4];
    let weaker = wire.check().expect("valid");
    let refused = match store.recall(4, &weaker) {
        Err(RecallError::Refused(violations)) => violations,
        other => panic!("{other:?}"),
    };
    assert_eq!(refused, small(4).recipe.check(&weaker).unwrap_err());
    let rules: std::vec::Vec<RecipeRule> = refused.iter().map(|v| v.rule).collect();
    assert_eq!(rules, [RecipeRule::Parameters, RecipeRule::Speed]);
    assert_eq!(
        store.recall(5, &machine()),
        Err(RecallError::Store(StoreError::Empty))
    );
}

#[test]
fn a_verdict_is_only_believed_of_the_recipe_that_it_was_given_for() {
    let mut stored = small(1);
    for verdict in ALL_VERDICTS {
        stored.checked.verdict = verdict;
        assert_eq!(stored.verdict(), verdict);
    }
    stored.recipe.steps[0].load = Newtons::new(201.0);
    assert_eq!(stored.verdict(), Verdict::Unchecked);
}

#[test]
fn a_record_of_another_version_is_told_and_not_read() {
    let mut other = small(2);
    other.recipe.schema += 1;
    let mut store = open(common());
    store.put(2, &other).unwrap();
    assert_eq!(store.recipe(2), Err(StoreError::OtherSchema));
    let mut later = progress(0, 0);
    later.schema += 1;
    store.note(&later).unwrap();
    assert_eq!(store.progress(), Err(StoreError::OtherSchema));
}

/// Every single bit of a record that is turned is noticed: nothing else than what was stored is ever given out.
#[test]
fn no_turned_bit_goes_unnoticed() {
    let mut store = open(common());
    store.put(0, &small(1)).unwrap();
    let first = store.active.as_ref().unwrap().end as usize;
    store.put(1, &small(2)).unwrap();
    let second = store.active.as_ref().unwrap().end as usize;
    store.put(2, &small(3)).unwrap();
    let flash = store.into_flash();
    for bit in first * 8..second * 8 {
        let mut turned = flash.clone();
        turned.bytes[bit / 8] ^= 1 << (bit % 8);
        let mut store = open(turned);
        assert_eq!(store.recipe(0), Ok(small(1)), "bit {bit}");
        assert_eq!(store.recipe(2), Ok(small(3)), "bit {bit}");
        match store.recipe(1) {
            // The padding behind the payload belongs to nothing.
            Ok(found) => assert_eq!(found, small(2), "bit {bit}"),
            Err(StoreError::Damaged) => {}
            Err(StoreError::Empty) => assert!(store.is_damaged(), "bit {bit}"),
            Err(other) => panic!("bit {bit}: {other:?}"),
        }
    }
}

/// A damaged record is not taken for the one before it, also after everything was moved.
#[test]
fn damage_stays_told_until_the_slot_is_stored_again() {
    let mut store = open(common());
    store.put(1, &small(1)).unwrap();
    store.put(1, &small(2)).unwrap();
    let end = store.active.as_ref().unwrap().end as usize;
    let mut flash = store.into_flash();
    flash.bytes[end - 24] ^= 0x10;
    let mut store = open(flash);
    assert_eq!(store.recipe(1), Err(StoreError::Damaged));
    store.change_banks().unwrap();
    let mut store = open(store.into_flash());
    assert_eq!(store.recipe(1), Err(StoreError::Damaged));
    store.put(1, &small(3)).unwrap();
    assert_eq!(store.recipe(1), Ok(small(3)));
}

/// Erases are counted bank by bank, as the flash itself counts them, and a new store knows them.
#[test]
fn wear_is_what_the_flash_counts() {
    let mut store = open(common());
    for round in 0..400 {
        let slot = (round % 3) as u8;
        store.put(slot, &large(round)).unwrap();
        if round % 50 == 0 {
            store = open(store.into_flash());
        }
        let sectors = store.flash.erases.chunks(SMALL / 2 / 4096);
        for (bank, count) in sectors.zip(store.erases()) {
            assert!(bank.iter().all(|erases| *erases == count), "{bank:?}");
        }
    }
    let [lower, upper] = store.erases();
    assert!(lower > 10 && (upper == lower || upper + 1 == lower));
}

/// While a cycle runs nothing is erased: a record that does not fit is refused, and what was there stays.
#[test]
fn progress_never_erases() {
    let mut store = open(common());
    store.put(0, &small(0)).unwrap();
    let erases = store.erases();
    let mut written = 0;
    while store.note(&progress(1, written)).is_ok() {
        written += 1;
    }
    assert!(written > 250, "{written}");
    assert_eq!(store.note(&progress(2, 0)), Err(StoreError::Full));
    assert_eq!(store.erases(), erases);
    assert_eq!(store.progress(), Ok(progress(1, written - 1)));
    let bank = store.bank;
    assert_eq!(
        store.make_room(bank),
        Err(StoreError::Full),
        "not that much"
    );
    store.make_room(500).unwrap();
    store.note(&progress(2, 0)).expect("there is room again");
    assert_eq!(store.recipe(0), Ok(small(0)));
}

#[test]
fn a_record_of_progress_is_due_when_a_step_changes_or_half_a_minute_of_it_passed() {
    let at = |state, phase, step, step_time| {
        let mut now = progress(step, step_time);
        (now.state, now.phase) = (state, phase);
        now
    };
    use Phase::{Dwell, LoadRamp, Lower, Rest};
    use State::{Complete, Idle, Running, Stopped};
    let dwell = at(Running, Dwell, 1, 30_000);
    let due = |now: Progress| now.is_due(Some(&dwell));
    assert!(!due(dwell));
    assert!(!due(at(Running, Dwell, 1, 59_999)));
    assert!(due(at(Running, Dwell, 1, 60_000)));
    assert!(due(at(Running, Dwell, 2, 30_000)), "another step");
    assert!(
        due(at(Running, Phase::RunDown, 1, 30_000)),
        "out of the step"
    );
    assert!(!due(at(Running, LoadRamp, 1, 30_000)), "inside the step");
    assert!(due(at(Complete, Rest, 1, 30_000)), "the end of the cycle");
    let ended = at(Complete, Rest, 1, 30_000);
    assert!(!at(Idle, Rest, 0, 0).is_due(Some(&ended)), "at rest");
    assert!(
        at(Running, Lower, 0, 0).is_due(Some(&ended)),
        "the next one"
    );
    assert!(at(Running, Lower, 0, 0).is_due(None));
    assert!(!at(Idle, Rest, 0, 0).is_due(None));
    // After a loss of power what was found stays, until a cycle begins.
    let mut after = at(Stopped, Rest, 0, 0);
    after.boots += 1;
    assert!(!after.is_due(Some(&dwell)));
    after.state = Idle;
    assert!(!after.is_due(Some(&dwell)));
    after.state = Running;
    assert!(after.is_due(Some(&dwell)));
    assert!(dwell.in_cycle() && !ended.in_cycle());
}

/// Whatever the flash holds, the reader answers, and so does everything behind it.
fn random_contents(rounds: u64) {
    let mut store = open(common());
    for slot in 0..4 {
        store.put(slot, &small(u32::from(slot))).unwrap();
    }
    let sound = store.into_flash();
    let params = machine();
    for round in 0..rounds {
        let mut random = Random(round.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        let mut flash = sound.clone();
        match round % 4 {
            // Noise; noise behind a bank header that counts; some bytes changed; a stretch moved.
            0 => flash.bytes.iter_mut().for_each(|b| *b = random.byte()),
            1 => flash.bytes[32..]
                .iter_mut()
                .for_each(|b| *b = random.byte()),
            2 => {
                for _ in 0..=random.below(8) {
                    flash.bytes[random.below(1000) as usize] = random.byte();
                }
            }
            _ => {
                let (from, to) = (random.below(500) as usize, random.below(500) as usize);
                flash.bytes.copy_within(from..from + 300, to);
            }
        }
        let Ok(mut store) = Store::open(Image(&flash.bytes)) else {
            continue;
        };
        for slot in 0..SLOTS {
            if let Ok(found) = store.recipe(slot) {
                let known = (0..4).any(|number| found == small(number));
                assert!(known, "round {round}: {found:?}");
            }
            let _ = store.recall(slot, &params);
        }
        let _ = (store.params(), store.progress());
        if round % 16 == 0 {
            let mut store = open(flash);
            store.put(9, &small(9)).expect("stored over anything");
            assert_eq!(store.recipe(9), Ok(small(9)));
        }
    }
}

#[test]
fn random_contents_never_crash_the_reader() {
    random_contents(4_000);
}

#[test]
#[ignore = "a minute in release: `cargo test --release -p firmware-core --lib store -- --ignored`"]
fn a_million_random_contents_never_crash_the_reader() {
    random_contents(1_000_000);
}

/// A flash that fails now and then, or lies: the store says so, and keeps what it has.
#[test]
fn a_flash_that_does_not_keep_a_word_is_noticed_and_the_rest_of_the_bank_left_alone() {
    struct Worn(Common);
    impl embedded_storage::nor_flash::ErrorType for Worn {
        type Error = embedded_storage::nor_flash::NorFlashErrorKind;
    }
    impl ReadNorFlash for Worn {
        const READ_SIZE: usize = 4;
        fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
            self.0.read(offset, bytes)?;
            // One bit of each byte of a word in the lower bank is stuck.
            for (at, byte) in (offset..).zip(bytes) {
                *byte |= u8::from((400..408).contains(&at));
            }
            Ok(())
        }
        fn capacity(&self) -> usize {
            self.0.capacity()
        }
    }
    impl NorFlash for Worn {
        const WRITE_SIZE: usize = 4;
        const ERASE_SIZE: usize = 4096;
        fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
            self.0.erase(from, to)
        }
        fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
            self.0.write(offset, bytes)
        }
    }
    let mut store = open(Worn(common()));
    for number in 0..40 {
        let slot = (number % 4) as u8;
        let kept = store.recipe(slot);
        match store.put(slot, &small(number)) {
            Ok(()) => assert_eq!(store.recipe(slot), Ok(small(number))),
            Err(error) => {
                assert_eq!(error, StoreError::Device);
                assert_eq!(store.recipe(slot), kept);
            }
        }
    }
    assert_eq!(store.erases(), [1, 1], "the lower bank was left");
}
