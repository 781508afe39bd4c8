//! The lines of the settings files that a figure depends on.

use underbrush_protocol::settings::quote;

/// Name and text of each settings file.
#[derive(Clone, Copy, Debug, Default)]
pub struct SettingsText<'a> {
    /// The machine file.
    pub machine: (&'a str, &'a str),
    /// The site file.
    pub site: (&'a str, &'a str),
    /// The shift book, if there is one.
    pub book: Option<(&'a str, &'a str)>,
}

/// More lines than this are only counted: a book has many measurements.
const MOST_LINES: usize = 12;

impl SettingsText<'_> {
    /// The lines of `file:key`, each with file and number; or that it is not set.
    pub(super) fn quote(&self, setting: &str) -> Vec<String> {
        let (which, key) = setting.split_once(':').unwrap_or(("", setting));
        let (name, text) = match which {
            "machine" => self.machine,
            "site" => self.site,
            _ => match self.book {
                Some(book) => book,
                None => return vec![format!("{key}: no shift book was given")],
            },
        };
        let lines = quote(text, key);
        if lines.is_empty() {
            return vec![format!("{name}: `{key}` is not set, so the default holds")];
        }
        let more = lines.len().saturating_sub(MOST_LINES);
        let mut out: Vec<String> = lines
            .iter()
            .take(MOST_LINES)
            .map(|(number, line)| format!("{name}, line {number}: {line}"))
            .collect();
        if more > 0 {
            out.push(format!("{name}: and {more} more lines of `{key}`"));
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_defaults_and_missing_files() {
        let machine = "id = \"x\"\n[deck]\npath_width = \"28 in\" # wide\n";
        let site = "[[step]]\nnumber = 1\n\n[[step]]\nnumber = 2\n";
        let texts =
            SettingsText { machine: ("m.toml", machine), site: ("s.toml", site), book: None };
        assert_eq!(
            texts.quote("machine:deck.path_width"),
            ["m.toml, line 3: path_width = \"28 in\" # wide"]
        );
        assert_eq!(
            texts.quote("site:step"),
            ["s.toml, line 2: number = 1", "s.toml, line 5: number = 2"]
        );
        assert_eq!(
            texts.quote("machine:limits.grip"),
            ["m.toml: `limits.grip` is not set, so the default holds"]
        );
        assert_eq!(texts.quote("book:measured"), ["measured: no shift book was given"]);
    }
}
