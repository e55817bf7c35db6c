//! The recipe store on a flash that holds anything: banks and records that are sound, nearly sound or cut, and bytes anywhere. A reader
//! written from the page (`docs/store.md`) says what stands there; what the store gives out must be that, and what is stored then is read
//! by a new store while all else stays.

use super::bytes::Bytes;
use super::checksum::crc32;
use super::gates::edited;
use super::machine::{DEMO, job};
use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash};
use firmware_core::params::{PARAMS_SCHEMA, ParamsWire};
use firmware_core::recipe::RECIPE_SCHEMA;
use firmware_core::store::{
    ALL_VERDICTS, Checked, Image, PROGRESS_SCHEMA, Progress, RecallError, SLOTS, Store, StoreError,
    StoredRecipe, fingerprint,
};
use serde::{Serialize, de::DeserializeOwned};
use std::collections::BTreeMap;
use twinplate_sim::bench::Job;
use twinplate_sim::flash as simulated;

/// One half of the flash, bytes.
const BANK: usize = 16 << 10;
/// A word, bytes.
const WORD: usize = 8;
/// Longest payload, bytes.
const LONGEST: usize = 880;
/// Bytes before the first record of a bank.
const FIRST: usize = 32;
/// Where what has no slot stands in what is read, behind the slots.
const PARAMS: (u8, u8) = (2, 0);
const PROGRESS: (u8, u8) = (3, 0);

/// What is read of a record: its value as bytes, or what it lacks.
type Found = Result<Vec<u8>, StoreError>;

/// A flash that no word is written to twice.
#[derive(Clone)]
struct Flash(simulated::Flash);

impl ErrorType for Flash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for Flash {
    const READ_SIZE: usize = simulated::Flash::READ_SIZE;
    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        self.0.read(offset, bytes)
    }
    fn capacity(&self) -> usize {
        self.0.capacity()
    }
}

impl NorFlash for Flash {
    const WRITE_SIZE: usize = simulated::Flash::WRITE_SIZE;
    const ERASE_SIZE: usize = simulated::Flash::ERASE_SIZE;
    fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        self.0.erase(from, to).expect("whole sectors of it");
        Ok(())
    }
    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        let from = offset as usize;
        let place = &self.0.bytes()[from..from + bytes.len()];
        assert!(place.iter().all(|byte| *byte == u8::MAX), "written twice");
        self.0.write(offset, bytes).expect("whole words of it");
        Ok(())
    }
}

/// A flash of these bytes, read, written and read again.
pub fn store(bytes: &[u8]) {
    let mut bytes = Bytes::new(bytes);
    let job = job(bytes.pick::<&str>(&DEMO));
    let flash = Flash(simulated::Flash::of(image(job, &mut bytes)));
    let mut expected = match (page(flash.0.bytes()), Store::open(Image(flash.0.bytes()))) {
        (Ok(expected), Ok(mut store)) => {
            compared(&expected, &mut store, job);
            expected
        }
        (Err(why), Err(told)) => {
            assert_eq!(why, told);
            return;
        }
        (expected, _) => panic!("the page says {expected:?}, the store otherwise"),
    };
    let mut store = Store::open(flash).expect("opened before");
    while bytes.more() {
        change(&mut store, &mut expected, job, &mut bytes);
        // As after a loss of power: another one on the same flash.
        let mut again = Store::open(store.flash().clone()).expect("what was written opens");
        compared(&expected, &mut again, job);
    }
}

/// One change; what is expected afterwards is the new content of its record, or what was there where it is refused.
fn change(
    store: &mut Store<Flash>,
    expected: &mut BTreeMap<(u8, u8), Found>,
    job: &Job,
    bytes: &mut Bytes<'_>,
) {
    let slot = bytes.u8() % (SLOTS + 2);
    let recipe = (1, slot);
    match bytes.u8() % 6 {
        0 | 1 => {
            let stored = stored(job, bytes);
            let done = store.put(slot, &stored);
            kept(expected, recipe, done, Ok(encoded(&stored)));
        }
        2 => {
            let done = store.erase(slot);
            kept(expected, recipe, done, Err(StoreError::Empty));
        }
        3 => {
            let done = store.put_params(&job.params);
            kept(expected, PARAMS, done, Ok(encoded(job.params.get())));
        }
        4 => {
            let progress = progress(bytes);
            let done = store.note(&progress);
            kept(expected, PROGRESS, done, Ok(encoded(&progress)));
        }
        // Refused where there is less room even then: nothing has changed.
        _ => drop(store.make_room(u32::from(bytes.u16()))),
    }
}

fn kept(
    expected: &mut BTreeMap<(u8, u8), Found>,
    key: (u8, u8),
    done: Result<(), StoreError>,
    new: Found,
) {
    match done {
        Ok(()) => drop(expected.insert(key, new)),
        Err(StoreError::NoSuchSlot) => assert!(key.0 == 1 && key.1 >= SLOTS),
        // The flash keeps what is written, and everything has room after a move; only progress does not move.
        Err(why) => assert!(why == StoreError::Full && key == PROGRESS, "{why:?}"),
    }
}

/// What a store gives out is what is expected, record for record.
fn compared<F: ReadNorFlash>(
    expected: &BTreeMap<(u8, u8), Found>,
    store: &mut Store<F>,
    job: &Job,
) {
    let of = |key| {
        expected
            .get(&key)
            .cloned()
            .unwrap_or(Err(StoreError::Empty))
    };
    for slot in 0..SLOTS {
        let found = store.recipe(slot);
        assert_eq!(
            found.as_ref().map(encoded).map_err(|why| *why),
            of((1, slot)),
            "slot {slot}"
        );
        let recalled = store.recall(slot, &job.params);
        match found {
            // Believed no more than one from a wire.
            Ok(stored) => {
                assert!(ALL_VERDICTS.contains(&stored.verdict()));
                let checked = stored.recipe.check(&job.params);
                assert_eq!(recalled.is_ok(), checked.is_ok());
            }
            Err(why) => assert!(matches!(recalled, Err(RecallError::Store(told)) if told == why)),
        }
    }
    assert_eq!(store.recipe(SLOTS), Err(StoreError::NoSuchSlot));
    assert_eq!(
        store.params().as_ref().map(encoded).map_err(|why| *why),
        of(PARAMS)
    );
    assert_eq!(
        store.progress().as_ref().map(encoded).map_err(|why| *why),
        of(PROGRESS)
    );
}

/// Postcard bytes: as values some are not equal to themselves.
fn encoded<T: Serialize>(value: &T) -> Vec<u8> {
    let mut bytes = [0; LONGEST];
    let bytes = postcard::to_slice(value, &mut bytes).expect("the longest fits");
    bytes.to_vec()
}

// What the page says.

/// Everything that is stored, as `docs/store.md` reads a flash.
fn page(flash: &[u8]) -> Result<BTreeMap<(u8, u8), Found>, StoreError> {
    let banks = [&flash[..BANK], &flash[BANK..]];
    let heads = banks.map(committed);
    let bank = match heads {
        [None, None] => return Ok(BTreeMap::new()),
        [Some(_), None] => 0,
        [None, Some(_)] => 1,
        [Some((_, lower)), Some((_, upper))] => {
            usize::from(upper.wrapping_sub(lower).cast_signed() > 0)
        }
    };
    let (format, _) = heads[bank].expect("one that counts");
    if format != 1 {
        return Err(StoreError::OtherFormat);
    }
    let mut found = BTreeMap::new();
    let mut at = FIRST;
    while at + WORD <= BANK {
        at += record(&banks[bank][at..], &mut found).unwrap_or(WORD);
    }
    Ok(found)
}

fn u32_at(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes"))
}

fn turned(bytes: &[u8]) -> Vec<u8> {
    bytes.iter().map(|byte| !byte).collect()
}

/// Format and generation of a bank that counts.
fn committed(bank: &[u8]) -> Option<(u32, u32)> {
    let sound = &bank[..4] == b"LAPS" && crc32(&bank[..20]) == u32_at(bank, 20);
    let commit = [turned(&bank[8..12]), turned(&bank[20..24])].concat();
    (sound && bank[24..32] == commit).then(|| (u32_at(bank, 4), u32_at(bank, 8)))
}

/// The bytes of a record that is whole, taken; none where it is not, or nothing was written.
fn record(rest: &[u8], found: &mut BTreeMap<(u8, u8), Found>) -> Option<usize> {
    let key = (rest[0], rest[1]);
    let known = matches!(key, PARAMS | PROGRESS) || key.0 == 1 && key.1 < SLOTS;
    let length = usize::from(u16::from_le_bytes([rest[2], rest[3]]));
    let end = WORD + length.next_multiple_of(WORD);
    if !known || length > LONGEST || rest.get(end..end + WORD)? != turned(&rest[..WORD]) {
        return None;
    }
    let payload = &rest[WORD..WORD + length];
    let value = if length == 0 {
        Err(StoreError::Empty)
    } else if crc32(&[&rest[..4], payload].concat()) != u32_at(rest, 4) {
        Err(StoreError::Damaged)
    } else {
        match key.0 {
            1 => decoded::<StoredRecipe>(payload, RECIPE_SCHEMA),
            2 => decoded::<ParamsWire>(payload, PARAMS_SCHEMA),
            _ => decoded::<Progress>(payload, PROGRESS_SCHEMA),
        }
    };
    found.insert(key, value);
    Some(end + WORD)
}

/// A payload read as its kind, and encoded again: a number may have more bytes than it needs.
fn decoded<T: Serialize + DeserializeOwned>(payload: &[u8], schema: u16) -> Found {
    match postcard::take_from_bytes::<u16>(payload) {
        Ok((found, _)) if found != schema => Err(StoreError::OtherSchema),
        _ => match postcard::take_from_bytes::<T>(payload) {
            Ok((value, [])) => Ok(encoded(&value)),
            _ => Err(StoreError::Damaged),
        },
    }
}

// What is put there.

/// A flash as the bytes want it: banks, records and anything.
fn image(job: &Job, bytes: &mut Bytes<'_>) -> Vec<u8> {
    let mut flash = vec![u8::MAX; 2 * BANK];
    let mut ends = [FIRST; 2];
    for _ in 0..bytes.u8() % 48 {
        let upper = usize::from(bytes.bool());
        let start = upper * BANK;
        match bytes.u8() % 10 {
            0 | 1 => {
                let head = bank_head(bytes);
                flash[start..start + head.len()].copy_from_slice(&head);
            }
            2..=5 => {
                let key = [1 + bytes.u8() % 4, bytes.u8() % (SLOTS + 1)];
                let key = if key[0] == 1 { key } else { [key[0], 0] };
                let payload = payload(job, key[0], bytes);
                let mut record = framed(key, &payload);
                if bytes.u8().is_multiple_of(4) {
                    record.truncate(usize::from(bytes.u16()) % (record.len() + 1));
                }
                let at = start + ends[upper];
                if let Some(place) = flash[..start + BANK].get_mut(at..at + record.len()) {
                    place.copy_from_slice(&record);
                    ends[upper] += record.len().next_multiple_of(WORD);
                }
            }
            6 => ends[upper] = (ends[upper] + WORD * usize::from(bytes.u8() % 8)).min(BANK),
            7 => flash[start + usize::from(bytes.u16()) % BANK] ^= 1 << (bytes.u8() % 8),
            _ => {
                let at = start + usize::from(bytes.u16()) % BANK;
                for place in flash[at..].iter_mut().take(usize::from(bytes.u8())) {
                    *place = bytes.u8();
                }
            }
        }
    }
    flash
}

fn bank_head(bytes: &mut Bytes<'_>) -> Vec<u8> {
    let format = u32::from(bytes.u8() % 8 == 7) + 1;
    let generation = u32::from(bytes.u8()).wrapping_sub(4);
    let [own, other] = [bytes.u8(), bytes.u8()].map(u32::from);
    let mut head = b"LAPS".to_vec();
    for word in [format, generation, own, other] {
        head.extend(word.to_le_bytes());
    }
    head.extend(crc32(&head).to_le_bytes());
    if !bytes.u8().is_multiple_of(4) {
        head.extend([turned(&head[8..12]), turned(&head[20..24])].concat());
    }
    head
}

fn framed(key: [u8; 2], payload: &[u8]) -> Vec<u8> {
    let length = u16::try_from(payload.len()).expect("short");
    let mut record = [key, length.to_le_bytes()].concat();
    let sum = crc32(&[record.as_slice(), payload].concat());
    record.extend(sum.to_le_bytes());
    let commit = turned(&record);
    record.extend(payload);
    record.resize(record.len().next_multiple_of(WORD), u8::MAX);
    record.extend(commit);
    record
}

/// A payload of its kind, changed in a byte or not, or any bytes.
fn payload(job: &Job, kind: u8, bytes: &mut Bytes<'_>) -> Vec<u8> {
    let mut payload = match (bytes.u8() % 4, kind) {
        (0, _) | (_, 4..) => (0..bytes.u8()).map(|_| bytes.u8()).collect(),
        (_, 1) => encoded(&stored(job, bytes)),
        (_, 2) => encoded(job.params.get()),
        _ => encoded(&progress(bytes)),
    };
    if bytes.u8().is_multiple_of(4) {
        let at = usize::from(bytes.u16()) % payload.len().max(1);
        if let Some(byte) = payload.get_mut(at) {
            *byte = bytes.u8();
        }
    }
    payload
}

fn stored(job: &Job, bytes: &mut Bytes<'_>) -> StoredRecipe {
    let recipe = edited(&job.compiled, bytes);
    let own = fingerprint(&recipe).expect("it can be made");
    StoredRecipe {
        checked: Checked {
            verdict: *bytes.pick(&ALL_VERDICTS),
            program: "0.1.0".try_into().expect("short"),
            inputs: u64::from(bytes.u32()),
            recipe: own ^ u32::from(bytes.bool()),
        },
        recipe,
    }
}

fn progress(bytes: &mut Bytes<'_>) -> Progress {
    use firmware_core::sequence::{ALL_PHASES, ALL_STATES};
    use firmware_core::units::{Micrometres, Ticks};
    Progress {
        schema: PROGRESS_SCHEMA,
        boots: bytes.u16(),
        slot: bytes.bool().then(|| bytes.u8()),
        recipe: bytes.u32(),
        state: *bytes.pick(&ALL_STATES),
        phase: *bytes.pick(&ALL_PHASES),
        step: bytes.u8(),
        step_time: Ticks(bytes.u32()),
        size: Micrometres::new(bytes.f32()),
    }
}
