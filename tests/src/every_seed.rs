//! Work for each seed, on all processors.

use std::ops::Range;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

/// `UNDERBRUSH_SEEDS=FIRST..LAST`, without it `usual`.
///
/// # Panics
/// If it is set to something else.
pub fn seeds(usual: Range<u64>) -> Range<u64> {
    let Ok(text) = std::env::var("UNDERBRUSH_SEEDS") else { return usual };
    let ends = text.split_once("..").and_then(|(a, b)| Some(a.parse().ok()?..b.parse().ok()?));
    ends.expect("UNDERBRUSH_SEEDS is two numbers: 0..500")
}

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
