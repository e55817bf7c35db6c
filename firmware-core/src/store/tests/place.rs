//! A recipe read into a place that is there already.

use super::super::layout::MAX_PAYLOAD;
use super::{large, largest, small};
use crate::recipe::RecipeWire;

/// What a value takes on its way through serde, a place takes too: the largest recipe and one with no flatness control, whole and cut off
/// at every byte; and nothing of what lay there before stays.
#[test]
fn a_recipe_is_read_in_place_as_it_is_deserialised() {
    let mut place = RecipeWire::EMPTY;
    for stored in [largest(1), small(2), large(3)] {
        let mut bytes = [0; MAX_PAYLOAD];
        let bytes = postcard::to_slice(&stored.recipe, &mut bytes).unwrap();
        for end in 0..=bytes.len() {
            let whole = postcard::take_from_bytes::<RecipeWire>(&bytes[..end]);
            let read = place.read(&bytes[..end]);
            assert_eq!(whole.is_ok(), read.is_ok(), "{end}");
            if let (Ok((recipe, rest)), Ok(left)) = (whole, read) {
                assert_eq!((&recipe, rest), (&place, left));
            }
        }
    }
    let mut many = [0; MAX_PAYLOAD + 64];
    let mut recipe = large(4).recipe;
    recipe.flatness = None;
    let full = recipe.steps.clone();
    recipe.steps.clear();
    // The count of the steps stands before them, and is the last byte where there are none.
    let count = postcard::to_slice(&recipe, &mut many).unwrap().len() - 1;
    recipe.steps = full;
    let length = postcard::to_slice(&recipe, &mut many).unwrap().len();
    let mut one = [0; 64];
    let step = postcard::to_slice(&recipe.steps[0], &mut one)
        .unwrap()
        .len();
    assert_eq!(usize::from(many[count]), recipe.steps.len());
    many.copy_within(count + 1..count + 1 + step, length);
    many[count] += 1;
    assert!(place.read(&many[..length + step]).is_err());
    assert!(postcard::from_bytes::<RecipeWire>(&many[..length + step]).is_err());
    assert!(place.steps.is_empty());
}
