//! The power goes at any byte of any write and any erase, and again while the store puts itself right. After each cut a new store on what
//! the flash holds must read every recipe, the parameters and the progress as they were before the change or after it.

use super::*;
use std::vec::Vec;

/// What a store gives out, errors included.
#[derive(Clone, Debug, PartialEq)]
struct Content {
    recipes: Vec<Result<StoredRecipe, StoreError>>,
    params: Result<ParamsWire, StoreError>,
    progress: Result<Progress, StoreError>,
}

impl Content {
    fn of<F: ReadNorFlash>(store: &mut Store<F>) -> Self {
        Self {
            recipes: (0..SLOTS).map(|slot| store.recipe(slot)).collect(),
            params: store.params(),
            progress: store.progress(),
        }
    }
}

/// One change of what is stored.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant)] // a handful of them
pub(super) enum Change {
    Put(u8, StoredRecipe),
    Erase(u8),
    Params,
    Note(u32),
    Room,
}

impl Change {
    fn make<F: NorFlash>(&self, store: &mut Store<F>) -> Result<(), StoreError> {
        match self {
            Self::Put(slot, recipe) => store.put(*slot, recipe),
            Self::Erase(slot) => store.erase(*slot),
            Self::Params => {
                let mut wire = machine().get().clone();
                wire.hold_time.0 += 1;
                store.put_params(&wire.check().expect("valid"))
            }
            Self::Note(time) => store.note(&progress(1, *time)),
            Self::Room => store.change_banks(),
        }
    }
}

/// What was found after the cuts of one change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Tally {
    pub cuts: u64,
    pub old: u64,
    pub new: u64,
}

impl core::ops::AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        self.cuts += other.cuts;
        self.old += other.old;
        self.new += other.new;
    }
}

/// A flash before a change, what it holds, what it holds after it, and how many steps the change takes.
struct Scene<const W: usize> {
    flash: Flash<W>,
    change: Change,
    old: Content,
    new: Content,
    steps: u64,
}

/// Erases that the flash has had and the store does not know of.
fn uncounted<const W: usize>(store: &Store<Flash<W>>) -> [i64; 2] {
    let banks = store.flash.erases.chunks(store.flash.erases.len() / 2);
    let had = banks.map(|bank| i64::from(*bank.iter().max().expect("sectors")));
    let mut had = had.zip(store.erases().map(i64::from)).map(|(a, b)| a - b);
    [0; 2].map(|_| had.next().expect("two banks"))
}

pub(super) type Flash<const W: usize> = Nor<W, 4096>;

impl<const W: usize> Scene<W> {
    fn new(mut flash: Flash<W>, change: &Change) -> Self {
        flash.restart(1);
        let mut store = open(flash.clone());
        let old = Content::of(&mut store);
        change.make(&mut store).expect("power");
        let new = Content::of(&mut store);
        Self {
            change: change.clone(),
            old,
            new,
            steps: store.into_flash().steps,
            flash,
        }
    }

    /// The power goes in step `at`, and comes back.
    fn cut(&self, at: u64) -> (Store<Flash<W>>, Content) {
        let mut flash = self.flash.clone();
        flash.restart(at);
        flash.cut = Some(at);
        let mut store = open(flash);
        let told = self.change.make(&mut store);
        assert!(told.is_err(), "step {at} of {:?}", self.change);
        let mut flash = store.into_flash();
        assert!(flash.dead, "step {at} of {}", self.steps);
        flash.restart(at);
        let mut store = open(flash);
        let found = Content::of(&mut store);
        if found != self.old && found != self.new {
            self.complain(at, &found);
        }
        assert!(!store.is_damaged(), "step {at}: a cut is no damage");
        self.assert_wear(&store, at);
        (store, found)
    }

    fn complain(&self, at: u64, found: &Content) -> ! {
        let all = found.recipes.iter().zip(&self.old.recipes);
        for (slot, ((found, old), new)) in all.zip(&self.new.recipes).enumerate() {
            assert!(
                found == old || found == new,
                "cut in step {at} of {}: slot {slot} reads {found:?}",
                self.steps
            );
        }
        panic!(
            "cut in step {at} of {}: {:?}, {:?}, or a mixture of old and new",
            self.steps,
            found.params.as_ref().err(),
            found.progress
        );
    }

    /// No erase is counted that was not, and what is missing goes back to a cut each.
    fn assert_wear(&self, store: &Store<Flash<W>>, at: u64) {
        for missing in uncounted(store) {
            assert!(
                (0..=i64::from(store.flash.cuts)).contains(&missing),
                "cut in step {at}: {missing} erases not counted, {} cuts",
                store.flash.cuts
            );
        }
    }

    /// Cuts at every `every`-th step from `from` on. What was cut is done again, and must then be done.
    fn cuts(&self, from: u64, every: u64) -> Tally {
        let mut tally = Tally::default();
        for at in (from % every..self.steps).step_by(every as usize) {
            let (mut store, found) = self.cut(at);
            tally.count(&found, &self.new);
            // What never erases needs room made for it, behind a record that is not whole.
            store.make_room(100).expect("power");
            self.change.make(&mut store).expect("power");
            assert!(Content::of(&mut store) == self.new, "again after {at}");
        }
        tally
    }

    /// Cuts twice: in every `first`-th step of the change, and in every `second`-th of doing another one after it, from a place that
    /// moves on with the first.
    fn cuts_twice(&self, from: u64, first: u64, then: &Change, second: u64) -> Tally {
        let mut tally = Tally::default();
        for at in (from % first..self.steps).step_by(first as usize) {
            let (store, _) = self.cut(at);
            let again = Scene::new(store.into_flash(), then);
            for at in (at % second..again.steps).step_by(second as usize) {
                let (_, found) = again.cut(at);
                tally.count(&found, &again.new);
            }
        }
        tally
    }
}

impl Tally {
    fn count(&mut self, found: &Content, new: &Content) {
        let is_new = u64::from(found == new);
        *self += Self {
            cuts: 1,
            old: 1 - is_new,
            new: is_new,
        };
    }
}

/// Sixteen large recipes, parameters and progress in banks of this size, as a move leaves them.
fn full<const W: usize>(size: usize, twice: Twice) -> Flash<W> {
    let mut store = open(Flash::new(size, twice, 1));
    for slot in 0..SLOTS {
        store.put(slot, &large(u32::from(slot))).expect("room");
    }
    store.put_params(&machine()).expect("room");
    store.make_room(100).expect("room");
    store.note(&progress(0, 1)).expect("room");
    Change::Room.make(&mut store).expect("power");
    store.into_flash()
}

/// A full store that has no room for another recipe without a move.
fn brim_full<const W: usize>(twice: Twice) -> Flash<W> {
    let mut store = open(full::<W>(TIGHT, twice));
    store.put(7, &large(77)).expect("room");
    store.put_params(&machine()).expect("room");
    assert!(store.room() < 888, "{} bytes left", store.room());
    store.into_flash()
}

/// Banks with room for some records over a full store, and with hardly any.
const ROOMY: usize = 40 * 1024;
const TIGHT: usize = SMALL;

/// A few small recipes, and erases that take coarse steps: so short that every pair of cuts can be tried.
fn few<const W: usize>(twice: Twice) -> Flash<W> {
    let mut flash = Flash::new(SMALL, twice, 1);
    flash.stride = 64;
    let mut store = open(flash);
    for slot in 0..3 {
        store.put(slot, &small(u32::from(slot))).expect("room");
    }
    store.put_params(&machine()).expect("room");
    store.note(&progress(0, 1)).expect("room");
    store.into_flash()
}

/// The changes over a full store that are cut, each with its flash. The last three move to the other bank.
fn scenes<const W: usize>(twice: Twice) -> Vec<(&'static str, Scene<W>)> {
    let roomy = full::<W>(ROOMY, twice);
    let mut emptied = open(roomy.clone());
    emptied.erase(7).expect("room");
    let emptied = emptied.into_flash();
    let tight = full::<W>(TIGHT, twice);
    let brim = brim_full::<W>(twice);
    let another = || Change::Put(7, large(107));
    let mut all = Vec::new();
    let mut add = |what, flash, change| all.push((what, Scene::new(flash, &change)));
    add("put into an empty slot", emptied, another());
    add("replace", roomy.clone(), another());
    add("erase", roomy.clone(), Change::Erase(7));
    add("parameters", roomy.clone(), Change::Params);
    add("progress", roomy, Change::Note(2));
    add("replace, with a move", brim, another());
    add("move alone", tight, Change::Room);
    let blank = Flash::new(TIGHT, twice, 1);
    add("first record of a blank flash", blank, another());
    all
}

/// How many of [`scenes`] only add a record.
const RECORDS: usize = 5;

const MODELS: [Twice; 2] = [Twice::Refused, Twice::Anded];

fn every_record<const W: usize>() {
    for twice in MODELS {
        for (what, scene) in scenes::<W>(twice).into_iter().take(RECORDS) {
            let tally = scene.cuts(0, 1);
            assert_eq!(tally.cuts, scene.steps, "{what}");
            assert!(tally.old > 0, "{what}, {twice:?}: {tally:?}");
        }
    }
}

/// Every byte of what adds a record to a full store.
#[test]
fn a_cut_at_any_byte_of_a_record_leaves_the_old_or_the_new_with_words_of_1() {
    every_record::<1>();
}

#[test]
fn a_cut_at_any_byte_of_a_record_leaves_the_old_or_the_new_with_words_of_4() {
    every_record::<4>();
}

#[test]
fn a_cut_at_any_byte_of_a_record_leaves_the_old_or_the_new_with_words_of_8() {
    every_record::<8>();
}

fn some_of_a_move<const W: usize>(every: u64) {
    for (from, twice) in (W as u64..).zip(MODELS) {
        for (what, scene) in scenes::<W>(twice).into_iter().skip(RECORDS) {
            assert!(scene.steps > TIGHT as u64 / 2, "{what} erases a bank");
            let tally = scene.cuts(from, every);
            let changes = scene.old != scene.new;
            assert_eq!(tally.old > 0, changes, "{what}, {twice:?}: {tally:?}");
        }
    }
}

/// The erase and the copy of a full store: a sample of the bytes here, all of them in the long test.
#[test]
fn a_cut_in_a_move_leaves_the_old_or_the_new() {
    some_of_a_move::<1>(97);
    some_of_a_move::<4>(89);
    some_of_a_move::<8>(83);
}

/// Its last bytes, where one bank takes over from the other: every one of them.
#[test]
fn a_cut_at_the_end_of_a_move_leaves_the_old_or_the_new() {
    for twice in MODELS {
        let scene = Scene::new(full::<8>(TIGHT, twice), &Change::Room);
        for at in scene.steps - 200..scene.steps {
            scene.cut(at);
        }
    }
}

fn some_pairs<const W: usize>(first: u64, second: u64) -> Tally {
    let mut all = Tally::default();
    for (from, twice) in (W as u64..).zip(MODELS) {
        let again = Change::Put(1, small(900));
        let record = Scene::new(few::<W>(twice), &again);
        all += record.cuts_twice(from, first, &again, second);
        all += record.cuts_twice(from, first, &Change::Erase(2), second);
        let moved = Scene::new(few::<W>(twice), &Change::Room);
        all += moved.cuts_twice(from, first, &Change::Room, second);
        all += moved.cuts_twice(from, first, &again, second);
    }
    all
}

/// A second cut while the first is put right: a sample of the pairs here, all of them in the long test.
#[test]
fn two_cuts_leave_the_old_or_the_new() {
    for tally in [
        some_pairs::<1>(29, 31),
        some_pairs::<4>(23, 37),
        some_pairs::<8>(31, 29),
    ] {
        assert!(tally.old > 100 && tally.new > 100, "{tally:?}");
    }
}

/// Any number of cuts, at random, in random changes: what is read is always what the changes so far, or all but the last, have left.
fn chain<const W: usize>(seed: u64, rounds: u32) {
    let mut random = Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let twice = MODELS[(seed % 2) as usize];
    let mut flash = Flash::<W>::new(SMALL, twice, seed);
    flash.stride = 64;
    for round in 0..rounds {
        let slot = random.below(u64::from(SLOTS)) as u8;
        let change = match random.below(8) {
            0 => Change::Erase(slot),
            1 => Change::Params,
            2 => Change::Room,
            3 => Change::Put(slot, small(round)),
            _ => Change::Put(slot, large(round)),
        };
        let scene = Scene::new(flash, &change);
        let at = random.below(scene.steps.max(1));
        flash = if at < scene.steps && random.below(3) > 0 {
            scene.cut(at).0.into_flash()
        } else {
            let mut store = open(scene.flash);
            change.make(&mut store).expect("power");
            store.into_flash()
        };
    }
}

#[test]
fn many_cuts_one_after_another_leave_the_old_or_the_new() {
    for seed in 0..6 {
        chain::<1>(seed, 150);
        chain::<4>(seed, 150);
        chain::<8>(seed, 150);
    }
}

fn every_step<const W: usize>(rows: &mut Vec<[std::string::String; 5]>) {
    let mut row = |what: &str, twice: Twice, tally: Tally| {
        let model = match twice {
            Twice::Refused => "refused",
            Twice::Anded => "and-ed",
        };
        let counts = [tally.cuts, tally.old, tally.new].map(|n| std::format!("{n}"));
        let [cuts, old, new] = counts;
        rows.push([what.into(), std::format!("{W}, {model}"), cuts, old, new]);
    };
    for (from, twice) in (0..).zip(MODELS) {
        for (what, scene) in scenes::<W>(twice) {
            row(what, twice, scene.cuts(0, 1));
        }
        let again = Change::Put(1, small(900));
        let record = Scene::new(few::<W>(twice), &again);
        let moved = Scene::new(few::<W>(twice), &Change::Room);
        let pairs = record.cuts_twice(0, 1, &again, 1);
        row("replace, then again: two cuts", twice, pairs);
        let pairs = moved.cuts_twice(0, 1, &Change::Room, 1);
        row("move, then again: two cuts", twice, pairs);
        let full = Scene::new(brim_full::<W>(twice), &Change::Put(7, large(107)));
        let pairs = full.cuts_twice(from, 151, &Change::Put(7, large(107)), 157);
        row(
            "replace with a move over a full store, then again: two cuts, a sample",
            twice,
            pairs,
        );
    }
}

/// Every byte, and every pair of bytes where the changes are short; the page has the table.
#[test]
#[ignore = "minutes in release: `UPDATE=1 cargo test --release -p firmware-core --lib store -- --ignored`"]
fn a_cut_at_any_byte_and_any_second_one_leave_the_old_or_the_new() {
    let (mut ones, mut fours, mut eights) = (Vec::new(), Vec::new(), Vec::new());
    std::thread::scope(|scope| {
        scope.spawn(|| every_step::<1>(&mut ones));
        scope.spawn(|| every_step::<4>(&mut fours));
        scope.spawn(|| every_step::<8>(&mut eights));
    });
    let mut table = std::string::String::from(
        "| change | word, second write | cuts | read as before | read as after | lost or mixed |\n|---|---|---:|---:|---:|---:|\n",
    );
    for cells in ones.iter().chain(&fours).chain(&eights) {
        table += &std::format!("| {} | 0 |\n", cells.join(" | "));
    }
    page::check_block("cuts", &table);
    for seed in 0..300 {
        chain::<8>(seed, 400);
    }
}
