//! The lead's files: the site and the shift book.

pub mod book;
pub mod site;

pub use book::Book;
pub use site::{Band, Phase, Section, Site};
