//! The panel recalls one of many stored recipes by its slot, from the controller's own store.

use crate::full_shelf::{OTHER, STORED, exercise};
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{NewsKind, Pace};
use twinplate_train::session::Session;

/// The common machine holds ten recipes for recall (common practice, no source); here are more.
#[test]
fn each_of_a_dozen_stored_recipes_is_recalled_by_its_slot() {
    let mut session = Session::new(exercise(), 1);
    for slot in 1..=STORED {
        session.operate(&Act::RecallRecipe { slot }).expect("there");
        session.advance(TICKS_PER_SECOND);
        let frame = session.frame(Pace::Real, 0.0);
        let loaded = (slot != OTHER).then_some(slot);
        assert_eq!(frame.recipe, loaded.unwrap_or_default(), "slot {slot}");
    }
    let refused: Vec<_> = session
        .news(0)
        .iter()
        .filter(|news| news.kind == NewsKind::Refused)
        .map(|news| news.text.clone())
        .collect();
    // The controller's own check tells: this machine has other parameters.
    assert_eq!(refused.len(), 1, "{refused:?}");
    for slot in [0, STORED + 1, u8::MAX] {
        let why = session
            .operate(&Act::RecallRecipe { slot })
            .expect_err("empty");
        assert_eq!(why.code, "empty-slot");
    }
}
