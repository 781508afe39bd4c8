//! A bridge at a pseudo terminal that says what it is told to, without an agent.

use super::bench::{Doing, PERIOD};
use super::port::Port;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Instant;
use underbrush_protocol::frame::{Capabilities, Frame, Hello};
use underbrush_protocol::link::Encoder;

/// It speaks until it is dropped.
pub(crate) struct Bridge {
    over: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Bridge {
    /// Plugged at `at`; says what `doing` makes of the ms since then.
    pub(crate) fn plug(at: &Path, doing: impl Fn(u64) -> Doing + Send + 'static) -> Self {
        let mut port = Port::plug(at);
        port.never_wait();
        let over: Arc<AtomicBool> = Arc::default();
        let ended = Arc::clone(&over);
        let thread = std::thread::spawn(move || {
            let (mut encoder, began) = (Encoder::default(), Instant::now());
            let mut due = began;
            while !ended.load(Ordering::Relaxed) {
                let ms = began.elapsed().as_millis() as u64;
                let hello = (ms / 1_000 != (ms + PERIOD.as_millis() as u64) / 1_000).then(hello);
                for frame in hello.into_iter().chain(doing(ms).frames()) {
                    // With nobody reading the port is full at some time.
                    port.offer(encoder.encode(ms as u32, &frame));
                }
                due += PERIOD;
                std::thread::sleep(due.saturating_duration_since(Instant::now()));
            }
        });
        Self { over, thread: Some(thread) }
    }
}

fn hello() -> Frame {
    Frame::Hello(Hello {
        bridge_id: 7,
        firmware: (1, 0, 0),
        capabilities: Capabilities::ROTATION.with(Capabilities::PRESSURE_SETTING),
        brush_motors: 2,
        period_ms: 100,
    })
}

impl Drop for Bridge {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
        self.thread.take().map(JoinHandle::join);
    }
}
