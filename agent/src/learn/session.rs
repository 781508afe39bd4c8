//! The prompts of a live session, one after the other. Pure: the caller brings the time.
//!
//! Each task is announced with a countdown, while the one before goes on, and then runs for
//! its time. What was skipped is not in the prompts.

use super::prompts::{Prompt, Task};

/// People read what comes while they still do what was asked before; before short prompts
/// they have half of one for it.
const COUNTDOWN_S: f64 = 6.0;

/// What is said before anything is asked.
pub(super) const SAFETY: &str = "\
Before you begin:
 - The machine's manual comes first: where it forbids what is asked here, skip that prompt.
 - Work in a clear, level area of floor that may get wet and scratched, with nobody else in it,
   or with the brushes off where that is not possible. Local rules hold.
 - Brushes never turn on the floor while the machine stands: lift the head before you stop.
 - One person drives and watches the floor; another one reads the prompts aloud.
 - This only listens to the bus: it never sends, and it stops nothing in an emergency.
Keys, each with Enter: s skips a prompt, q ends and judges what was heard so far.
";

/// What a person typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Key {
    Skip,
    Quit,
}

/// Where a session is.
#[derive(Clone, Debug)]
pub(super) struct Session {
    tasks: Vec<(Task, f64)>,
    countdown_s: f64,
    /// The task that is announced or runs.
    at: usize,
    /// When the countdown or the task began, and which.
    began_s: f64,
    running: bool,
    /// What was said last, so that each second is said once.
    said: Option<u64>,
    done: Vec<Prompt>,
    ended: bool,
}

/// A line for the terminal; a countdown line replaces the one before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Say {
    Line(String),
    Again(String),
}

impl Session {
    /// `each_s` is the length of every prompt; without it each has its own.
    pub(super) fn new(rounds: usize, each_s: Option<f64>, now_s: f64) -> Self {
        let mut tasks = Task::ROUND.repeat(rounds.max(1));
        for (_, length_s) in &mut tasks {
            *length_s = each_s.unwrap_or(*length_s);
        }
        Self {
            tasks,
            countdown_s: each_s.map_or(COUNTDOWN_S, |each_s| COUNTDOWN_S.min(each_s / 2.0)),
            at: 0,
            began_s: now_s,
            running: false,
            said: None,
            done: Vec::new(),
            ended: false,
        }
    }

    /// Seconds that the whole session takes.
    pub(super) fn length_s(&self) -> f64 {
        self.tasks.iter().map(|(_, length)| length + self.countdown_s).sum()
    }

    pub(super) fn ended(&self) -> bool {
        self.ended
    }

    /// The prompts that ran to their end.
    pub(super) fn prompts(self) -> Vec<Prompt> {
        self.done
    }

    /// Lets time pass.
    pub(super) fn tick(&mut self, now_s: f64, key: Option<Key>) -> Option<Say> {
        if key == Some(Key::Quit) {
            self.ended = true;
        }
        let (task, length) = match self.tasks.get(self.at) {
            Some(next) if !self.ended => *next,
            _ => {
                self.ended = true;
                return None;
            }
        };
        if key == Some(Key::Skip) {
            self.next(now_s);
            return Some(Say::Line(format!("  skipped: {}", task.name())));
        }
        let whole = if self.running { length } else { self.countdown_s };
        let left_s = whole - (now_s - self.began_s);
        if left_s <= 0.0 {
            return Some(self.over(task, now_s));
        }
        let seconds = left_s.ceil() as u64;
        if self.said.replace(seconds) == Some(seconds) {
            return None;
        }
        let number = format!("{}/{}", self.at + 1, self.tasks.len());
        Some(Say::Again(if self.running {
            format!("  {number} go on: {} ... {seconds} s", task.name())
        } else {
            format!("  {number} in {seconds} s: {}", task.words())
        }))
    }

    fn over(&mut self, task: Task, now_s: f64) -> Say {
        if self.running {
            self.done.push(Prompt { from_s: self.began_s, to_s: now_s, task });
            self.next(now_s);
            return Say::Line(format!("  done: {}", task.name()));
        }
        self.running = true;
        self.began_s = now_s;
        self.said = None;
        Say::Line(format!("> NOW: {}", task.words()))
    }

    fn next(&mut self, now_s: f64) {
        self.at += 1;
        self.began_s = now_s;
        self.running = false;
        self.said = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(keys: &[(u64, Key)]) -> (Vec<Prompt>, Vec<Say>) {
        run_with(None, keys)
    }

    fn run_with(each_s: Option<f64>, keys: &[(u64, Key)]) -> (Vec<Prompt>, Vec<Say>) {
        let mut session = Session::new(1, each_s, 0.0);
        let mut said = Vec::new();
        for tenth in 0.. {
            let key = keys.iter().find(|(at, _)| *at == tenth).map(|(_, key)| *key);
            said.extend(session.tick(tenth as f64 / 10.0, key));
            if session.ended() {
                break;
            }
        }
        (session.prompts(), said)
    }

    #[test]
    fn all_tasks_run_for_their_time() {
        let (prompts, said) = run(&[]);
        assert_eq!(prompts.len(), Task::ROUND.len());
        for (prompt, (task, length)) in prompts.iter().zip(Task::ROUND) {
            assert_eq!(prompt.task, task);
            assert!((prompt.to_s - prompt.from_s - length).abs() < 0.15, "{prompt:?}");
        }
        assert!((prompts[0].from_s - COUNTDOWN_S).abs() < 0.15);
        // Each second of the first countdown once.
        let first = said.iter().take_while(|say| matches!(say, Say::Again(_))).count();
        assert_eq!(first, 6);
    }

    #[test]
    fn prompts_of_a_length_that_was_asked_for() {
        let (prompts, _) = run_with(Some(8.0), &[]);
        assert_eq!(prompts.len(), Task::ROUND.len());
        for (number, prompt) in (0..).zip(&prompts) {
            // 4 s of countdown before each.
            assert!((prompt.from_s - 4.0 - 12.0 * f64::from(number)).abs() < 2.5, "{prompt:?}");
            assert!((prompt.to_s - prompt.from_s - 8.0).abs() < 0.15, "{prompt:?}");
        }
        let (prompts, _) = run_with(Some(30.0), &[]);
        assert!((prompts[0].from_s - COUNTDOWN_S).abs() < 0.15, "{prompts:?}");
    }

    #[test]
    fn skipped_and_quit() {
        let (prompts, _) = run(&[(30, Key::Skip)]);
        assert_eq!(prompts[0].task, Task::DriveSlow);
        assert!((prompts[0].from_s - 9.0).abs() < 0.15, "{prompts:?}");
        // 6 s and 15 s, then 6 s and in the middle of the second task.
        let (prompts, _) = run(&[(300, Key::Quit)]);
        assert_eq!(prompts.len(), 1);
    }
}
