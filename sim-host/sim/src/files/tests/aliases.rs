//! Paths of the model that differ from the files' keys.

use super::*;

#[test]
fn every_alias_leads_to_a_key() {
    let batch = good(load_batch(&recipes().join("batches/glass-discs.toml")));
    let recipe = good(load_recipe(&recipes().join("recipes/glass-f800.toml")));
    let machine = good(load_machine(&recipes().join("machines/machine-a.toml")));
    for (_, file) in FileKind::Batch.aliases() {
        let optional = [
            "inspection.",
            "carrier.material",
            "carrier.strength",
            "loaded.order",
        ];
        let left_out = optional.iter().any(|key| file.starts_with(key));
        assert!(left_out || batch.places.contains_key(*file), "{file}");
    }
    for (_, file) in FileKind::Recipe.aliases() {
        assert!(recipe.places.contains_key(*file), "{file}");
    }
    for (_, file) in FileKind::Machine.aliases() {
        let optional = file.starts_with("gains.") || file.starts_with("plates.");
        assert!(optional || machine.places.contains_key(*file), "{file}");
    }
}
