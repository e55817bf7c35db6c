//! The one thread that reads and writes the records. Everybody else asks it and need not wait.

use super::{Records, RecordsError};
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;
use tokio::sync::oneshot;

enum Task {
    /// Save a running attempt as it stands.
    Save(i64, String),
    /// Anything else.
    Do(Box<dyn FnOnce(&mut Records) + Send>),
}

/// Hands work to the thread that keeps the records. It ends when the last clone is gone.
#[derive(Clone, Debug)]
pub struct Clerk {
    tasks: Sender<Task>,
}

impl Clerk {
    /// Starts the thread; it is joined with the handle after the last clone of the clerk is gone.
    ///
    /// # Errors
    /// A system that gives no thread.
    pub fn start(records: Records) -> std::io::Result<(Self, JoinHandle<()>)> {
        let (tasks, inbox) = channel();
        let thread = std::thread::Builder::new()
            .name("records".into())
            .spawn(move || work(records, &inbox))?;
        Ok((Self { tasks }, thread))
    }

    /// Saves a running attempt. Of several that wait for the disk, the newest of each attempt is written.
    pub fn save(&self, id: i64, acts: String) {
        // A clerk that has ended has said so to whoever asks it something.
        let _ = self.tasks.send(Task::Save(id, acts));
    }

    /// Has something done, and waits for it. Not for asynchronous tasks.
    ///
    /// # Errors
    /// What the work gives, or a clerk that has ended.
    pub fn ask<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Records) -> Result<T, RecordsError> + Send + 'static,
    ) -> Result<T, RecordsError> {
        self.hand_over(work)?
            .blocking_recv()
            .map_err(|_| RecordsError::Ended)?
    }

    /// Has something done, and awaits it.
    ///
    /// # Errors
    /// What the work gives, or a clerk that has ended.
    pub async fn answer<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Records) -> Result<T, RecordsError> + Send + 'static,
    ) -> Result<T, RecordsError> {
        self.hand_over(work)?
            .await
            .map_err(|_| RecordsError::Ended)?
    }

    fn hand_over<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Records) -> Result<T, RecordsError> + Send + 'static,
    ) -> Result<oneshot::Receiver<Result<T, RecordsError>>, RecordsError> {
        let (done, answer) = oneshot::channel();
        let task = Task::Do(Box::new(move |records| {
            // Nobody waits any more: no concern of the records'.
            let _ = done.send(work(records));
        }));
        self.tasks.send(task).map_err(|_| RecordsError::Ended)?;
        Ok(answer)
    }
}

/// Works until nobody can ask any more.
fn work(mut records: Records, inbox: &Receiver<Task>) {
    let mut saves = BTreeMap::new();
    while let Ok(first) = inbox.recv() {
        // What has come together goes to the disk together.
        for task in std::iter::once(first).chain(inbox.try_iter()) {
            match task {
                Task::Save(id, acts) => {
                    saves.insert(id, acts);
                }
                Task::Do(work) => {
                    // An attempt is saved before it is looked at or closed: the order of asking holds.
                    write(&mut records, &mut saves);
                    work(&mut records);
                }
            }
        }
        write(&mut records, &mut saves);
    }
}

fn write(records: &mut Records, saves: &mut BTreeMap<i64, String>) {
    if saves.is_empty() {
        return;
    }
    if let Err(error) = records.save(saves.iter().map(|(id, acts)| (*id, acts.as_str()))) {
        tracing::error!("running attempts were not saved: {error}");
    }
    saves.clear();
}
