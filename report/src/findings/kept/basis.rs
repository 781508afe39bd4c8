//! What a kept value was made of, as a hash.

use serde::{Deserialize, Serialize};
use std::fmt::{Debug, Write};
use std::hash::{DefaultHasher, Hash, Hasher};

/// Hash of all that a value was made of: it holds as long as that is the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(super) struct Basis(u64);

/// Takes in what a value is made of.
#[derive(Clone, Default)]
pub(super) struct Digest(DefaultHasher);

impl Digest {
    /// By all that its `Debug` tells: for settings, which are small and hold no other form.
    pub(super) fn debug(mut self, value: &dyn Debug) -> Self {
        // The hasher takes all that is written.
        let _ = write!(Told(&mut self.0), "{value:?};");
        self
    }

    /// By its bytes as they would be kept; what cannot be kept has no basis.
    pub(super) fn bytes(mut self, value: &impl Serialize) -> Option<Self> {
        postcard::to_allocvec(value).ok()?.hash(&mut self.0);
        Some(self)
    }

    /// By its own hash.
    pub(super) fn hash(mut self, value: &impl Hash) -> Self {
        value.hash(&mut self.0);
        self
    }

    pub(super) fn basis(self) -> Basis {
        Basis(self.0.finish())
    }
}

struct Told<'a>(&'a mut DefaultHasher);

impl Write for Told<'_> {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}
