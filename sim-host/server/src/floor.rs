//! All stations of the server.

use super::controllers::{Controller, Maker};
use super::random;
use super::runner::{Opening, Runner};
use super::station::{Order, Station, Summary, held};
use crate::records::{Clerk, NewAttempt, RecordsError};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use tokio_util::task::TaskTracker;
use tokio_util::task::task_tracker::TaskTrackerToken;
use twinplate_train::exercise::Exercise;
use twinplate_train::protocol::Pace;

/// Stations at once.
pub const MOST_STATIONS: usize = 64;
/// Letters of a station's name.
const NAME: usize = 8;

/// Why no station was opened.
#[derive(Debug)]
pub enum NotOpened {
    /// There are as many as there may be.
    Full,
    /// The server stops.
    Stopping,
    /// The records refuse.
    Records(RecordsError),
    /// There is no controller for it, and why.
    Controller(String),
    /// The system gives no thread or no random bytes.
    System(std::io::Error),
}

struct Running {
    station: Arc<Station>,
    thread: Option<JoinHandle<()>>,
}

#[derive(Default)]
struct Stations {
    by_name: BTreeMap<String, Running>,
    /// Places taken by stations that are being opened.
    opening: usize,
    stopping: bool,
}

/// The stations.
#[derive(Clone)]
pub struct Floor {
    stations: Arc<Mutex<Stations>>,
    visits: TaskTracker,
    clerk: Clerk,
    elsewhere: Option<Maker>,
}

/// Gives a place back that no station came to.
struct Place<'a>(&'a Floor);

impl Drop for Place<'_> {
    fn drop(&mut self) {
        held(&self.0.stations).opening -= 1;
    }
}

/// Takes the station off the floor when its thread ends, even by a panic.
struct Leaves(Floor, String);

impl Drop for Leaves {
    fn drop(&mut self) {
        held(&self.0.stations).by_name.remove(&self.1);
    }
}

impl Floor {
    /// Empty.
    #[must_use]
    pub fn new(clerk: Clerk) -> Self {
        Self {
            stations: Arc::default(),
            visits: TaskTracker::new(),
            clerk,
            elsewhere: None,
        }
    }

    /// The same, with the controllers of all stations made elsewhere.
    #[must_use]
    pub fn with_controllers(self, maker: Maker) -> Self {
        Self {
            elsewhere: Some(maker),
            ..self
        }
    }

    /// A connection comes; it has gone when this is dropped.
    pub(crate) fn visit(&self) -> TaskTrackerToken {
        self.visits.token()
    }

    /// Until the last connection has gone, from when the server stops.
    pub(crate) async fn left(&self) {
        self.visits.close();
        self.visits.wait().await;
    }

    async fn controller(&self, exercise: &Arc<Exercise>) -> Result<Controller, NotOpened> {
        let Some(maker) = self.elsewhere.clone() else {
            return Ok(Controller::here(&exercise.job));
        };
        let exercise = Arc::clone(exercise);
        let made = tokio::task::spawn_blocking(move || maker(&exercise)).await;
        let why = match made {
            Ok(Ok(port)) => return Ok(Controller::There(port)),
            Ok(Err(why)) => why,
            Err(failed) => failed.to_string(),
        };
        Err(NotOpened::Controller(why))
    }

    /// Opens a station for an attempt, and gives its name.
    ///
    /// # Errors
    /// A full floor, no controller, records that refuse, a system that gives nothing.
    pub async fn open(
        &self,
        exercise: Arc<Exercise>,
        trainee: String,
        seed: Option<u64>,
    ) -> Result<String, NotOpened> {
        {
            let mut stations = held(&self.stations);
            if stations.stopping {
                return Err(NotOpened::Stopping);
            }
            if stations.by_name.len() + stations.opening >= MOST_STATIONS {
                return Err(NotOpened::Full);
            }
            stations.opening += 1;
        }
        let _place = Place(self);
        let name = random::word(NAME).map_err(NotOpened::System)?;
        let seed = seed
            .map_or_else(random::seed, Ok)
            .map_err(NotOpened::System)?;
        let controller = self.controller(&exercise).await?;
        let card = exercise.card();
        let new = NewAttempt {
            exercise: card.id.clone(),
            trainee: trainee.clone(),
            station: name.clone(),
            seed,
        };
        let attempt = self
            .clerk
            .answer(move |records| records.begin(&new))
            .await
            .map_err(NotOpened::Records)?;
        let job = exercise.job_card();
        let station = Arc::new(Station::new(Summary {
            station: name.clone(),
            exercise: card.id,
            title: card.title,
            trainee: trainee.clone(),
            state: String::new(),
            phase: String::new(),
            time_s: 0.0,
            load_n: 0.0,
            rated_load_n: job.rated_load_n,
            units: job.units,
            response: String::new(),
            alarms: 0,
            present: 0,
            control: false,
            pace: Pace::Paused,
            kept: 0.0,
            ended: None,
        }));
        let opening = Opening {
            station: Arc::clone(&station),
            exercise,
            seed,
            attempt,
            trainee,
            clerk: self.clerk.clone(),
        };
        self.start(&name, station, opening, controller)?;
        tracing::info!(station = name, "opened");
        Ok(name)
    }

    fn start(
        &self,
        name: &str,
        station: Arc<Station>,
        opening: Opening,
        controller: Controller,
    ) -> Result<(), NotOpened> {
        let running = Running {
            station,
            thread: None,
        };
        held(&self.stations)
            .by_name
            .insert(name.to_owned(), running);
        // Goes with the closure, and takes the entry along, even where no thread is given.
        let leaves = Leaves(self.clone(), name.to_owned());
        let thread = std::thread::Builder::new()
            .name(format!("station {name}"))
            .spawn(move || {
                let _leaves = leaves;
                Runner::new(opening, controller).run();
            })
            .map_err(NotOpened::System)?;
        let mut stations = held(&self.stations);
        let stopping = stations.stopping;
        if let Some(running) = stations.by_name.get_mut(name) {
            running.thread = Some(thread);
            if stopping {
                // Too late for the round that told the others.
                running.station.order(Order::Shut);
            }
        }
        Ok(())
    }

    /// A station, by name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<Arc<Station>> {
        let stations = held(&self.stations);
        let running = stations.by_name.get(name)?;
        Some(Arc::clone(&running.station))
    }

    /// All stations, by name.
    #[must_use]
    pub fn list(&self) -> Vec<Summary> {
        let stations: Vec<Arc<Station>> = held(&self.stations)
            .by_name
            .values()
            .map(|running| Arc::clone(&running.station))
            .collect();
        stations.iter().map(|station| station.summary()).collect()
    }

    /// Closes all stations, and waits until their attempts are recorded. Not for asynchronous tasks.
    pub fn shut(&self) {
        let threads: Vec<JoinHandle<()>> = {
            let mut stations = held(&self.stations);
            stations.stopping = true;
            stations
                .by_name
                .values_mut()
                .filter_map(|running| {
                    running.station.order(Order::Shut);
                    running.thread.take()
                })
                .collect()
        };
        for thread in threads {
            if thread.join().is_err() {
                tracing::error!("a station's thread had failed");
            }
        }
    }
}
