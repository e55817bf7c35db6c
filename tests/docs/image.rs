//! The page on the process image: every field named, its width and de-energised value taken from the code.

use crate::pages::{check, read, table};
use crate::source::{Item, members};
use firmware_core::process_image::{DriveInput, DriveOutput, Inputs, Outputs, RodValve};

/// A field as the page shows it.
struct Field {
    name: &'static str,
    kind: &'static str,
    at_rest: String,
    unit: &'static str,
    rate: &'static str,
}

fn kind_of<T>(_: &T) -> &'static str {
    std::any::type_name::<T>()
}

/// Rows for every field of a value. There is no `..`: a field that is not named here does not compile.
macro_rules! fields {
    ($value:expr, $type:ident { $($name:ident: $unit:literal, $rate:literal;)* }) => {{
        let $type { $($name),* } = $value;
        vec![$(Field {
            name: stringify!($name),
            kind: kind_of(&$name),
            at_rest: format!("{:?}", $name),
            unit: $unit,
            rate: $rate,
        }),*]
    }};
}

fn docs(struct_name: &str) -> Vec<Item> {
    members(&read("firmware-core/src/process_image.rs"), struct_name)
}

/// A type without its path.
fn short(kind: &str) -> String {
    kind.replace("firmware_core::process_image::", "")
}

/// A value as a person writes it.
fn value(at_rest: &str) -> String {
    if at_rest.contains("DriveInput") || at_rest.contains("DriveOutput") {
        return "see below".to_owned();
    }
    let text = match at_rest {
        "false" => "0",
        "true" => "1",
        other => other,
    };
    if text.contains("Slow") {
        "value 0, age 65535 (never received)".to_owned()
    } else {
        text.to_owned()
    }
}

fn page(block: &str, struct_name: &str, fields: Vec<Field>) {
    let docs = docs(struct_name);
    assert_eq!(docs.len(), fields.len(), "{struct_name}");
    let rows = fields.into_iter().zip(docs).map(|(field, item)| {
        assert_eq!(field.name, item.name, "{struct_name}: order of the fields");
        vec![
            format!("`{}`", field.name),
            format!("`{}`", short(field.kind)),
            field.unit.to_owned(),
            field.rate.to_owned(),
            value(&field.at_rest),
            item.doc,
        ]
    });
    let head = [
        "field",
        "width",
        "unit",
        "renewed every",
        "de-energised",
        "meaning",
    ];
    check("docs/process-image.md", block, &table(&head, rows));
}

#[test]
fn inputs() {
    let fields = fields!(Inputs::default(), Inputs {
        tick_overrun: "bit", "1 ms";
        cell_counts: "count (24 bits used)", "1 ms";
        cell_ok: "bit", "1 ms";
        cap_pressure: "0.1 mbar", "1 ms";
        rod_pressure: "0.1 mbar", "1 ms";
        supply_pressure: "1 mbar", "10 ms";
        counterbalance_ok: "bit", "10 ms";
        dump_open: "bit", "1 ms";
        plate_height: "1 µm", "1 ms";
        pin_in: "bit", "10 ms";
        pin_out: "bit", "10 ms";
        arm_home: "bit", "10 ms";
        guard_a: "bit", "10 ms";
        guard_b: "bit", "10 ms";
        guard_locked: "bit", "10 ms";
        estop_a: "bit", "10 ms";
        estop_b: "bit", "10 ms";
        drives: "four of `DriveInput`", "5 ms";
        slurry_flow: "1 mL/min", "10 ms";
        rinse_flow: "1 mL/min", "10 ms";
        agitator_turning: "bit", "10 ms";
        tank_level: "1 ‰ of full", "100 ms";
        plate_temperature: "0.01 °C", "100 ms";
        gauge: "1 nm", "100 ms";
        gauge_ok: "bit", "100 ms";
        setup_key: "bit", "10 ms";
        hold_to_run: "bit", "10 ms";
        link_alive: "bit", "10 ms";
        local_enable: "bit", "10 ms";
    });
    page("inputs", "Inputs", fields);
    let fields = fields!(DriveInput::default(), DriveInput {
        speed: "0.01 rpm", "5 ms";
        torque: "0.1 N·m", "5 ms";
        fault: "bit", "5 ms";
    });
    page("drive-input", "DriveInput", fields);
}

#[test]
fn outputs() {
    let fields = fields!(Outputs::default(), Outputs {
        cap_command: "1/65535 of relief pressure", "1 ms";
        dump_shut: "bit", "1 ms";
        rod: "number, see below", "1 ms";
        pin_withdraw: "bit", "1 ms";
        drives: "four of `DriveOutput`", "1 ms";
        pump: "1 ‰ of largest speed", "1 ms";
        rinse: "bit", "1 ms";
        agitator: "bit", "1 ms";
        guard_unlock: "bit", "1 ms";
    });
    page("outputs", "Outputs", fields);
    let fields = fields!(DriveOutput::default(), DriveOutput {
        enable: "bit", "1 ms";
        setpoint: "0.01 rpm", "1 ms";
    });
    page("drive-output", "DriveOutput", fields);
}

/// The de-energised image in one sentence of the page: all zero.
#[test]
fn every_output_is_zero_when_de_energised() {
    fn zero(value: &serde_json::Value) -> bool {
        use serde_json::Value;
        match value {
            Value::Bool(on) => !on,
            Value::Number(n) => n.as_i64() == Some(0),
            // The one field that is a name: number 0 of its enum.
            Value::String(name) => name == "Trapped" && RodValve::Trapped as u8 == 0,
            Value::Array(items) => items.iter().all(zero),
            Value::Object(fields) => fields.values().all(zero),
            Value::Null => false,
        }
    }
    let image = serde_json::to_value(Outputs::default()).expect("serialised");
    assert!(zero(&image), "{image}");
}

#[test]
fn rod_valve_and_drives() {
    let variants = |name| {
        docs(name)
            .into_iter()
            .map(|item| vec![item.value, format!("`{}`", item.name), item.doc])
    };
    let head = ["number", "name", "meaning"];
    check(
        "docs/process-image.md",
        "rod-valve",
        &table(&head, variants("RodValve")),
    );
    check(
        "docs/process-image.md",
        "drives",
        &table(&head, variants("Drive")),
    );
}

#[test]
fn status() {
    let rows = members(&read("firmware-core/src/status.rs"), "Status")
        .into_iter()
        .map(|i| vec![format!("`{}`", i.name), format!("`{}`", i.kind), i.doc]);
    check(
        "docs/process-image.md",
        "status",
        &table(&["field", "type", "meaning"], rows),
    );
}
