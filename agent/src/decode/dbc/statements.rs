//! A DBC file cut into its statements, so that one that cannot be read costs only itself.
//!
//! A statement begins at a line whose first word is a keyword of the format and that
//! has more behind it: the list below `NS_` names the same words, one a line. `BO_`
//! and `SG_` end with their line, the others at `;`. Between quotes a line's first word
//! is no keyword: comments quote statements.

use std::borrow::Cow;

/// What a statement says; only what decoding needs is told apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// `BO_`.
    Message,
    /// `SG_`.
    Signal,
    /// `SG_MUL_VAL_`.
    Multiplex,
    /// `SIG_VALTYPE_`.
    ValueType,
    /// An attribute that says what a message is.
    Attribute,
    /// Comments, nodes, names of values and whatever else decoding does not need.
    Other,
    /// Text that begins with no keyword.
    Unknown,
}

/// One statement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Statement<'a> {
    /// Number of its first line, from 1.
    pub(super) line: usize,
    /// What it says.
    pub(super) kind: Kind,
    /// All of it.
    pub(super) text: &'a str,
}

/// Words that begin statements which decoding does not need.
const OTHERS: [&str; 21] = [
    "VERSION",
    "NS_",
    "BS_",
    "BU_",
    "VAL_TABLE_",
    "VAL_",
    "BO_TX_BU_",
    "EV_",
    "ENVVAR_DATA_",
    "EV_DATA_",
    "SGTYPE_",
    "SGTYPE_VAL_",
    "SIG_GROUP_",
    "SIG_TYPE_REF_",
    "SIGTYPE_VALTYPE_",
    "CM_",
    "CAT_DEF_",
    "CAT_",
    "FILTER",
    "BA_REL_",
    "BA_SGTYPE_",
];
/// Attributes that say whether a message is SAE J1939.
const ATTRIBUTES: [&str; 2] = ["\"VFrameFormat\"", "\"ProtocolType\""];

/// Text of a file: UTF-8, with or without its mark, or else Latin-1.
pub(super) fn text(bytes: &[u8]) -> Cow<'_, str> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().map(|&b| char::from(b)).collect()),
    }
}

/// The statements of a file in their order, and the line of a quoted text without end.
/// Such a text is taken to end with its line: it must not swallow the rest of the file.
pub(super) fn split(text: &str) -> (Vec<Statement<'_>>, Option<usize>) {
    match cut(text, true) {
        (statements, None) => (statements, None),
        _ => cut(text, false),
    }
}

/// `quotes_span`: a quoted text may go over several lines. Also gives the line at which
/// one begins that is open at the end.
fn cut(text: &str, quotes_span: bool) -> (Vec<Statement<'_>>, Option<usize>) {
    let mut statements: Vec<Statement<'_>> = Vec::new();
    let (mut from, mut to) = (0, 0);
    let mut quoted_since = None;
    let mut opened = None;
    // Whether the newest statement goes on in the next line.
    let mut open = false;
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let begin = to;
        to += line.len();
        let words = line.trim();
        let quoted = quoted_since.is_some();
        let kind = if quoted { None } else { begins(words) };
        if !quoted && kind.is_none() && (words.is_empty() || words.starts_with("//")) {
            continue;
        }
        if kind.is_some() || !open {
            from = begin;
            let kind = kind.unwrap_or(Kind::Unknown);
            statements.push(Statement { line: number + 1, kind, text: line });
        }
        quoted_since = after_quotes(line, quoted_since, number + 1);
        opened = opened.or(quoted_since);
        if !quotes_span {
            quoted_since = None;
        }
        if let Some(newest) = statements.last_mut() {
            newest.text = &text[from..to];
            let one_line = matches!(newest.kind, Kind::Message | Kind::Signal | Kind::Unknown);
            open = quoted_since.is_some() || !one_line && !words.ends_with(';');
        }
    }
    (statements, if quotes_span { quoted_since } else { opened })
}

/// The line at which a quoted text began that is open after `line`.
fn after_quotes(line: &str, mut since: Option<usize>, number: usize) -> Option<usize> {
    let mut escaped = false;
    for byte in line.bytes() {
        if byte == b'"' && !escaped {
            since = if since.is_some() { None } else { Some(number) };
        }
        escaped = byte == b'\\' && !escaped && since.is_some();
    }
    since
}

/// What statement `line` begins, if any.
fn begins(line: &str) -> Option<Kind> {
    let end = line.find([' ', '\t', ':']).unwrap_or(line.len());
    let (word, rest) = line.split_at(end);
    // The words that a section lists, and the sections with nothing in them.
    let listed = rest.trim_start_matches([' ', '\t']).is_empty();
    if listed {
        return None;
    }
    match word {
        "BO_" => Some(Kind::Message),
        "SG_" => Some(Kind::Signal),
        "SG_MUL_VAL_" => Some(Kind::Multiplex),
        "SIG_VALTYPE_" => Some(Kind::ValueType),
        _ if word.starts_with("BA_DEF_") || word == "BA_" => {
            let ours = ATTRIBUTES.iter().any(|name| rest.contains(name));
            Some(if ours { Kind::Attribute } else { Kind::Other })
        }
        _ if OTHERS.contains(&word) => Some(Kind::Other),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<(usize, Kind)> {
        split(text).0.iter().map(|s| (s.line, s.kind)).collect()
    }

    #[test]
    fn lists_of_words_and_quoted_lines_are_no_statements() {
        let text = "NS_ :\n\tCM_\n\tSG_MUL_VAL_\nBS_:\nBU_: A\n  B\nBO_ 1 M: 8 A\n \
                    SG_ S : x\nCM_ \"say \\\"so\\\"\nBO_ 2 N: 8 A\n\";\nSG_MUL_VAL_ 1 S P\n 1-1;\n";
        let expected = [
            (1, Kind::Other),
            (4, Kind::Other),
            (5, Kind::Other),
            (7, Kind::Message),
            (8, Kind::Signal),
            (9, Kind::Other),
            (12, Kind::Multiplex),
        ];
        assert_eq!(kinds(text), expected);
        assert_eq!(split(text).1, None);
        assert_eq!(split(text).0[6].text, "SG_MUL_VAL_ 1 S P\n 1-1;\n");
    }

    #[test]
    fn an_open_quote_ends_with_its_line() {
        let text = "CM_ \"no end;\nBO_ 1 M: 8 A\n SG_ S : 0|8@1+ (1,0) [0|0] \"\" A\nrubbish\n";
        let (statements, open) = split(text);
        let kinds: Vec<_> = statements.iter().map(|s| s.kind).collect();
        assert_eq!(kinds, [Kind::Other, Kind::Message, Kind::Signal, Kind::Unknown]);
        assert_eq!(open, Some(1));
    }
}
