//! Signals that end the program: noticed between two pictures, so that the terminal is given
//! back first.

use std::io;

#[cfg(unix)]
mod caught {
    use super::io;
    use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// Which signal came, if any.
    pub(in super::super) struct Signals(Arc<AtomicUsize>);

    impl Signals {
        /// From now on these signals no longer end the process by themselves.
        pub(in super::super) fn watch() -> io::Result<Self> {
            let came = Arc::new(AtomicUsize::new(0));
            for signal in [SIGHUP, SIGINT, SIGQUIT, SIGTERM] {
                let number = signal.unsigned_abs() as usize;
                signal_hook::flag::register_usize(signal, Arc::clone(&came), number)?;
            }
            Ok(Self(came))
        }

        /// One came.
        pub(in super::super) fn caught(&self) -> bool {
            self.0.load(Ordering::Relaxed) != 0
        }

        /// Ends the process by the signal that came, as it would have ended without us.
        pub(in super::super) fn end_by_it(&self) {
            let signal = self.0.load(Ordering::Relaxed) as i32;
            // Where that fails the program ends in the usual way.
            let _ = signal_hook::low_level::emulate_default_handler(signal);
        }
    }
}

#[cfg(not(unix))]
mod caught {
    use super::io;

    /// There are none here.
    pub(in super::super) struct Signals;

    impl Signals {
        pub(in super::super) fn watch() -> io::Result<Self> {
            Ok(Self)
        }

        pub(in super::super) fn caught(&self) -> bool {
            false
        }

        pub(in super::super) fn end_by_it(&self) {}
    }
}

pub(super) use caught::Signals;
