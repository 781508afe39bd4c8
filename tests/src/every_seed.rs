//! Work for each seed, on all processors.

use std::ops::Range;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

/// Does `work` for every seed and hands its result, with the seed, to `take`: one at a time, in no
/// order.
pub(crate) fn every_seed<R>(
    seeds: Range<u64>,
    work: impl Fn(u64) -> R + Sync,
    take: impl FnMut(u64, R) + Send,
) {
    let next = AtomicU64::new(seeds.start);
    let take = Mutex::new(take);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= seeds.end {
                        return;
                    }
                    let result = work(seed);
                    let mut take = take.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                    take(seed, result);
                }
            });
        }
    });
}
