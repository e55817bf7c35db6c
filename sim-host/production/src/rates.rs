//! The step that cuts and the removal rates of the batches that it made.

use crate::filter::{Fit, Series};
use crate::record::{Batch, Record};
use crate::trend::told;
use twinplate_check::Case;
use twinplate_check::predict::{Prediction, predict};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::max;
use twinplate_sim::model::End;

/// The step that cuts, and what a plan says of it.
pub(crate) struct Cut {
    pub place: usize,
    pub name: String,
    /// In-band time, s, pressure, Pa, and load, N.
    pub time: f64,
    pub pressure: f64,
    pub load: f64,
    pub longest: f64,
    /// Time of this step, s, in which as much is removed as in all other steps and the ramps together.
    pub beside: f64,
    /// Rate that the recipe's own coefficient gives, m/s.
    pub planned: f64,
    /// Friction power per area of a face, W/m².
    pub power: f64,
}

/// The step that cuts. Every step must end by time: where a gauge ends one, the gauge makes the size.
pub(crate) fn cut(set: &Set, name: Option<&str>) -> Result<Cut, Vec<FileError>> {
    let recipe = &set.recipe.value;
    let file = set.recipe.path.display().to_string();
    let refuse = |code, message: String, expected: &str| {
        Err(vec![FileError::whole(code, &file, message, expected)])
    };
    if let Some(step) = recipe
        .steps
        .iter()
        .find(|step| !matches!(step.end, End::Time { .. }))
    {
        return refuse(
            "inconsistent",
            format!("the gauge ends step `{}`, and so makes the size", step.name),
            "a recipe whose steps all end by time; here set the gauge on its master instead",
        );
    }
    let case = Case::of(set);
    let plan = predict(&case, 1.0);
    let most = (0..plan.steps.len()).max_by(|a, b| off(&plan, *a).total_cmp(&off(&plan, *b)));
    let place = match name {
        Some(name) => recipe.steps.iter().position(|step| step.name == name),
        None => most,
    };
    let (Some(place), Some(planned)) = (place, place.and_then(|place| plan.steps.get(place)))
    else {
        let names: Vec<&str> = recipe.steps.iter().map(|step| step.name.as_str()).collect();
        return refuse(
            "unknown-word",
            format!("no step is named `{}`", name.unwrap_or_default()),
            &format!("--step with one of: {}", names.join(", ")),
        );
    };
    let step = &recipe.steps[place];
    let End::Time { seconds } = step.end else {
        return refuse(
            "inconsistent",
            "the step does not end by time".to_owned(),
            "one that does",
        );
    };
    let rate = planned.removal_rate_um_min * 1e-6 / 60.0;
    let whole: f64 = plan.removal.iter().sum();
    if rate <= 0.0 {
        return refuse(
            "inconsistent",
            format!("step `{}` removes nothing", step.name),
            "the step that cuts",
        );
    }
    let speed = 0.5 * (planned.mean_speed_lower_m_s + planned.mean_speed_upper_m_s);
    Ok(Cut {
        place,
        name: step.name.clone(),
        time: seconds,
        pressure: step.pressure,
        load: planned.load_n,
        longest: step.longest,
        beside: max(whole / rate - seconds, 0.0),
        planned: rate,
        power: recipe.consumables.friction * planned.pressure_pa * speed,
    })
}

/// What a step takes off, µm.
fn off(plan: &Prediction, at: usize) -> f64 {
    plan.steps
        .get(at)
        .map_or(0.0, |step| step.removal_lower_um + step.removal_upper_um)
}

/// Rates of the batches, with what is known of their errors.
pub(crate) struct Rates {
    /// The rate of each batch: removed over the equivalent time.
    pub series: Series,
    /// Equivalent time of each batch, s; none where it is not known.
    pub times: Vec<Option<f64>>,
    /// Friction work per area of a face since the slurry was changed, in the middle of each batch, J/m².
    pub work: Vec<f64>,
    /// The same at the end of the last batch.
    pub done: f64,
    /// Friction work of one batch.
    pub a_batch: f64,
    /// Known variance of a mean thickness, m², where the record says nothing else.
    pub of_mean: f64,
    /// Scale of the rates, m/s: the planned one.
    pub scale: f64,
}

impl Rates {
    pub(crate) fn new(record: &Record, cut: &Cut, set: &Set) -> Self {
        let n = record.batches.len();
        let mut series = Series::plain(vec![None; n]);
        let mut times = vec![None; n];
        let mut work = vec![0.0; n];
        let mut since = 0.0;
        let mut sum = 0.0;
        for (at, batch) in record.batches.iter().enumerate() {
            series.steps[at] = batch.done.any();
            if batch.done.slurry {
                since = 0.0;
            }
            let typed = batch.time.unwrap_or(cut.time);
            let time = typed * batch.load.map_or(1.0, |load| load / cut.load) + cut.beside;
            work[at] = since + 0.5 * cut.power * time;
            since += cut.power * time;
            sum += cut.power * time;
            if let (Some(removed), Some(_)) = (batch.removed(), batch.time) {
                times[at] = Some(time);
                series.values[at] = Some(removed / time);
                let known = mean_variance(batch, batch.before_sd, set)
                    + mean_variance(batch, batch.after_sd, set);
                series.known[at] = known / (time * time);
                series.weight[at] = 1.0 / (time * time);
            } else {
                let usual = cut.time + cut.beside;
                series.weight[at] = 1.0 / (usual * usual);
            }
        }
        let means = record
            .batches
            .iter()
            .map(|b| mean_variance(b, b.after_sd, set));
        Self {
            series,
            times,
            work,
            done: since,
            a_batch: sum / max(n as f64, 1.0),
            of_mean: means.sum::<f64>() / max(n as f64, 1.0),
            scale: cut.planned,
        }
    }

    pub(crate) fn usual_known(&self) -> f64 {
        self.series.known.iter().sum::<f64>() / max(self.series.known.len() as f64, 1.0)
    }

    /// The series with the fall along the slurry's work.
    fn falling(&self) -> Series {
        Series {
            along: Some(self.work.clone()),
            ..self.series.clone()
        }
    }

    /// The fit that predicts: with the fall of the rate where that is told from none, else without. The series that it is of, and the fit
    /// with the fall.
    pub(crate) fn fit(&self) -> Option<(Fit, Series, Option<Fit>)> {
        let plain = self.series.fit()?;
        let falling = self.falling();
        let fall = falling.fit().filter(|fit| fit.slope.is_some());
        let falls = fall.as_ref().is_some_and(|fit| {
            fit.slope
                .is_some_and(|slope| slope.value < 0.0 && told(&slope, fit.freedom))
        });
        Some(match &fall {
            Some(fit) if falls => (fit.clone(), falling, fall),
            Some(_) | None => (plain, self.series.clone(), fall),
        })
    }
}

/// Known variance of a batch's mean thickness: the gauge's share, and that of the parts that were not measured.
pub(crate) fn mean_variance(batch: &Batch, sd: Option<f64>, set: &Set) -> f64 {
    let loaded = f64::from(set.batch.value.parts);
    let Some(parts) = batch.parts.or_else(|| batch.gauge.map(|_| loaded)) else {
        return 0.0;
    };
    let gauge = batch.gauge.unwrap_or(0.0);
    let own = sd.map_or(0.0, |sd| max(sd * sd - gauge * gauge, 0.0));
    gauge * gauge / parts + own / parts * max(1.0 - parts / loaded, 0.0)
}
