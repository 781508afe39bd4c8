//! Work that can be done in any order, shared out to all cores.

use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Numbers of the pieces of work that nobody has taken yet.
pub(crate) struct Numbers<'a> {
    next: &'a AtomicUsize,
    count: usize,
}

impl Iterator for Numbers<'_> {
    type Item = usize;

    fn next(&mut self) -> Option<usize> {
        let number = self.next.fetch_add(1, Ordering::Relaxed);
        (number < self.count).then_some(number)
    }
}

/// Calls `work` once on each core, with numbers from 0 to `count` that no other call gets.
pub(crate) fn share_out<R: Send>(
    count: usize,
    work: impl Fn(&mut Numbers<'_>) -> R + Sync,
) -> Vec<R> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let here = || work(&mut Numbers { next: &next, count });
    std::thread::scope(|scope| {
        let others: Vec<_> = (1..cores.min(count)).map(|_| scope.spawn(here)).collect();
        let mut done = vec![here()];
        for other in others {
            done.push(other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        done
    })
}

#[cfg(test)]
mod tests {
    use super::share_out;

    #[test]
    fn each_number_once() {
        let mut taken: Vec<usize> =
            share_out(1_000, |numbers| numbers.collect::<Vec<_>>()).concat();
        taken.sort_unstable();
        assert_eq!(taken, (0..1_000).collect::<Vec<_>>());
        assert_eq!(share_out(0, |numbers| numbers.count()), [0]);
    }
}
