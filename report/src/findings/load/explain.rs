//! Where the figures of the brush motors come from.

use crate::findings::figure::Figure;

pub(in crate::findings) const FIGURES: &[Figure] = &[];
