//! The page of an actuator.

use super::page::{Card, axes, end, frame, head, list, picture, range, residuals, table};
use super::{actuator, number};
use crate::report::svg::Svg;
use twinplate_calibrate::actuator::{ActuatorReport, Response, Seals, Swept, Vent};
use twinplate_calibrate::removal::Shown as Typed;
use twinplate_sim::files::{ActuatorKey as K, Loaded, answered_in};
use twinplate_sim::model::{Machine, Of, Shown};

/// Draws the page.
pub(crate) fn draw(report: &ActuatorReport, file: &Loaded<Machine>) -> String {
    let mut html = String::with_capacity(256 * 1024);
    let verdict = if report.holds {
        ["pass", "✓", "holds"]
    } else {
        ["warn", "▲", "does not hold"]
    };
    let cards = cards(report, file);
    head(
        &mut html,
        "Actuator, from a log",
        &actuator::subject(report),
        verdict,
        &cards,
    );
    if let Some(swept) = &report.swept {
        picture(
            &mut html,
            "The sweep: load over command, and what is left of the line",
            sweep(report, swept),
        );
    }
    if let Some(response) = &report.response {
        picture(
            &mut html,
            "The steps: load over time and the fitted answer",
            steps(report, response),
        );
    }
    if let Some(vent) = &report.vent {
        picture(&mut html, "The venting", venting(report, vent));
    }
    if let Some(seals) = &report.seals {
        picture(
            &mut html,
            "The motions: force of the rod side over speed, up positive",
            motions(seals, report.load, &answered_in(None, None, Some(file))),
        );
    }
    let rows: Vec<Vec<String>> = report
        .keys
        .iter()
        .filter_map(|told| actuator::key(told, file).map(|cells| cells.to_vec()))
        .collect();
    table(
        &mut html,
        "For the machine file, 95 %",
        &["key", "found", ""],
        &rows,
    );
    list(&mut html, "Not told", &actuator::untold(report));
    let beside: Vec<Vec<String>> = actuator::beside(report, file)
        .into_iter()
        .map(|(label, value)| vec![label.to_owned(), value])
        .collect();
    table(&mut html, "Beside the keys, 95 %", &["", "found"], &beside);
    list(&mut html, "Diagnostics", &actuator::diagnostics(report));
    end(&mut html, &report.notes, actuator::CAUTION);
    html
}

/// What matters most, on top.
fn cards(report: &ActuatorReport, file: &Loaded<Machine>) -> [Card; 4] {
    let card = |title: &'static str, first: K, more: &[K]| -> Card {
        let words = |key: K| {
            let told = report.keys.iter().find(|told| told.key == key)?;
            let [name, value, _] = actuator::key(told, file)?;
            Some(format!("{name} {value}"))
        };
        let all: Vec<String> = [first]
            .iter()
            .chain(more)
            .filter_map(|key| words(*key))
            .collect();
        let short = report.keys.iter().find(|told| told.key == first);
        let short = short.and_then(|told| Some((told, told.found.as_ref().ok()?)));
        let short = short.map_or_else(
            || "not told".to_owned(),
            |(told, found)| {
                let (unit, per_si) = told.key.unit_in(file);
                format!("{} {unit}", number(found.value * per_si, 4))
            },
        );
        (title, short, all.join("; "))
    };
    [
        card(
            "Pressure at full command",
            K::ReliefPressure,
            &[K::Play, K::Resolution],
        ),
        card(
            "Lag of the regulator",
            K::Lag,
            &[K::DeadTime, K::Slew, K::DumpLag],
        ),
        card("Seal friction", K::SealFriction, &[K::SealBreakaway]),
        card("Counterbalance", K::Counterbalance, &[K::Mass]),
    ]
}

fn sweep(report: &ActuatorReport, swept: &Swept) -> Svg {
    let mut svg = Svg::new(
        1200.0,
        560.0,
        "Load over command up and down, and residuals of the line",
    );
    let load = report.load;
    let commands: Vec<f64> = swept.points.iter().map(|p| 100.0 * p[0]).collect();
    let x = range(commands.iter().copied());
    let loads: Vec<f64> = swept.points.iter().map(|p| load.typed(p[1])).collect();
    let above = frame(34.0, 250.0, x, range(loads.iter().copied()));
    axes(
        &mut svg,
        &above,
        &format!("load, {}; dots up, rings down", load.symbol),
        "%",
    );
    let line = x.map(|u| load.typed(swept.intercept.value + swept.gain.value * 0.01 * u));
    svg.path(&above.curve(&x, &line), "model");
    for ((command, value), point) in commands.iter().zip(&loads).zip(&swept.points) {
        let class = if point[2] > 0.0 { "spot" } else { "bubble" };
        svg.circle(above.px(*command), above.py(*value), 3.0, class);
    }
    let left: Vec<f64> = swept.points.iter().map(|p| load.typed(p[3])).collect();
    let below = frame(350.0, 150.0, x, range(left.iter().copied().chain([0.0])));
    axes(&mut svg, &below, &format!("residual, {}", load.symbol), "%");
    residuals(&mut svg, &below, &swept.rows, &commands, &left);
    svg
}

/// Measured dots, thinned to a screen, and the fitted curve.
fn over_time(report: &ActuatorReport, curve: &[[f64; 3]], label: &str) -> Svg {
    let mut svg = Svg::new(1200.0, 360.0, label);
    let load = report.load;
    let times: Vec<f64> = curve.iter().map(|row| row[0]).collect();
    let fitted: Vec<f64> = curve.iter().map(|row| load.typed(row[2])).collect();
    let loads = curve.iter().map(|row| load.typed(row[1]));
    let frame = frame(
        34.0,
        260.0,
        range(times.iter().copied()),
        range(loads.chain(fitted.iter().copied())),
    );
    axes(
        &mut svg,
        &frame,
        &format!("load, {}; line: fitted", load.symbol),
        "s",
    );
    let every = curve.len().div_ceil(400).max(1);
    for row in curve.iter().step_by(every) {
        svg.circle(
            frame.px(row[0]),
            frame.py(load.typed(row[1])),
            2.0,
            "bubble",
        );
    }
    svg.path(&frame.curve(&times, &fitted), "model");
    svg
}

fn steps(report: &ActuatorReport, response: &Response) -> Svg {
    over_time(
        report,
        &response.curve,
        "Load over time while the command jumps, measured and fitted",
    )
}

fn venting(report: &ActuatorReport, vent: &Vent) -> Svg {
    over_time(
        report,
        &vent.curve,
        "Load over time since the dump valve opened, measured and fitted",
    )
}

fn motions(seals: &Seals, load: Typed, shown: &Shown) -> Svg {
    let mut svg = Svg::new(
        1200.0,
        320.0,
        "Force of the rod side over the speed of the plate, measured and fitted",
    );
    let speed = |si: f64| shown.again(Of::Travel, 1e3 * si);
    let speeds: Vec<f64> = seals.points.iter().map(|p| speed(p[0])).collect();
    let forces = seals
        .points
        .iter()
        .flat_map(|p| [p[1], p[2]].map(|force| load.typed(force)));
    let frame = frame(34.0, 220.0, range(speeds.iter().copied()), range(forces));
    axes(
        &mut svg,
        &frame,
        &format!("force, {}; dots measured, rings fitted", load.symbol),
        shown.symbol(Of::Travel),
    );
    for (speed, point) in speeds.iter().zip(&seals.points) {
        svg.circle(
            frame.px(*speed),
            frame.py(load.typed(point[2])),
            5.0,
            "bubble",
        );
        svg.circle(
            frame.px(*speed),
            frame.py(load.typed(point[1])),
            2.0,
            "spot",
        );
    }
    svg
}
