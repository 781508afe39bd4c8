//! What makes the PDF a good file: properties, language, bookmarks, compression,
//! and nothing random, so that the same sheet is the same bytes.
//!
//! Terms: ISO 32000-1:2008, 7.7.2 (catalog), 12.3.3 (outline), 14.3.3
//! (information), 14.4 (file identifier).

use super::SheetError;
use super::document::Document;
use super::layout::shapes::Page;
use chrono::{DateTime, Utc};
use lopdf::{Dictionary, Object, ObjectId, StringFormat, dictionary};

/// Settles what is open and writes the bytes.
pub(super) fn file(
    mut file: lopdf::Document,
    document: &Document,
    pages: &[Page],
) -> Result<Vec<u8>, SheetError> {
    "1.7".clone_into(&mut file.version);
    information(&mut file, document);
    catalog(&mut file, pages, document.words.language().tag())?;
    drop_empty_annotations(&mut file);
    file.compress();
    // The identifier is a digest of the file without one.
    file.trailer.remove(b"ID");
    let digest = fnv1a(&bytes(&mut file)?);
    let id: Vec<u8> = [digest, digest.rotate_left(32) ^ FNV_OFFSET]
        .iter()
        .flat_map(|h| h.to_be_bytes())
        .collect();
    let id = Object::String(id, StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![id.clone(), id]);
    bytes(&mut file)
}

fn bytes(file: &mut lopdf::Document) -> Result<Vec<u8>, SheetError> {
    let mut out = Vec::new();
    file.save_to(&mut out).map_err(|e| SheetError::Write(e.to_string()))?;
    Ok(out)
}

fn information(file: &mut lopdf::Document, document: &Document) {
    let date = Object::string_literal(date(document.dated));
    let info = dictionary! {
        "Title" => text(&document.title),
        "Author" => text("Underbrush"),
        "Subject" => text(&document.subject),
        "Creator" => text("Underbrush"),
        "Producer" => text("Underbrush"),
        "CreationDate" => date.clone(),
        "ModDate" => date,
    };
    if let Ok(id) = file.trailer.get(b"Info").and_then(Object::as_reference) {
        file.objects.insert(id, Object::Dictionary(info));
    } else {
        let id = file.add_object(info);
        file.trailer.set("Info", id);
    }
}

fn date(at: DateTime<Utc>) -> String {
    at.format("D:%Y%m%d%H%M%SZ").to_string()
}

/// A text string: UTF-16 with its byte order mark.
fn text(text: &str) -> Object {
    let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
    Object::String(units.flat_map(u16::to_be_bytes).collect(), StringFormat::Hexadecimal)
}

fn catalog(file: &mut lopdf::Document, pages: &[Page], language: &str) -> Result<(), SheetError> {
    let outlines = outline(file, pages);
    let catalog = file.catalog_mut().map_err(|e| SheetError::Write(e.to_string()))?;
    catalog.set("Lang", Object::string_literal(language));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    catalog.set("PageLayout", "OneColumn");
    catalog.set("PageMode", "UseNone");
    if let Some(id) = outlines {
        catalog.set("Outlines", id);
        catalog.set("PageMode", "UseOutlines");
    }
    Ok(())
}

/// One bookmark per heading, at its height on the page.
fn outline(file: &mut lopdf::Document, pages: &[Page]) -> Option<ObjectId> {
    let page_ids: Vec<ObjectId> = file.get_pages().into_values().collect();
    let mut entries: Vec<Dictionary> = Vec::new();
    for (page, id) in pages.iter().zip(&page_ids) {
        for (title, y) in &page.bookmarks {
            let top = ((page.size.1 - y) * 100.0).round() / 100.0;
            let place: Vec<Object> =
                vec![(*id).into(), "XYZ".into(), Object::Null, (top as f32).into(), Object::Null];
            entries.push(dictionary! { "Title" => text(title), "Dest" => place });
        }
    }
    if entries.is_empty() {
        return None;
    }
    let root = file.new_object_id();
    let ids: Vec<ObjectId> = entries.iter().map(|_| file.new_object_id()).collect();
    for (i, mut entry) in entries.into_iter().enumerate() {
        entry.set("Parent", root);
        if let Some(previous) = i.checked_sub(1).and_then(|p| ids.get(p)) {
            entry.set("Prev", *previous);
        }
        if let Some(next) = ids.get(i + 1) {
            entry.set("Next", *next);
        }
        if let Some(id) = ids.get(i) {
            file.objects.insert(*id, Object::Dictionary(entry));
        }
    }
    let mut list = dictionary! { "Type" => "Outlines", "Count" => ids.len() as i64 };
    if let (Some(first), Some(last)) = (ids.first(), ids.last()) {
        list.set("First", *first);
        list.set("Last", *last);
    }
    file.objects.insert(root, Object::Dictionary(list));
    Some(root)
}

/// Empty lists of annotations only cost bytes.
fn drop_empty_annotations(file: &mut lopdf::Document) {
    for object in file.objects.values_mut() {
        let Ok(dictionary) = object.as_dict_mut() else { continue };
        let empty = dictionary.get(b"Annots").and_then(Object::as_array).is_ok_and(Vec::is_empty);
        if empty {
            dictionary.remove(b"Annots");
        }
    }
}

const FNV_OFFSET: u64 = 0xCBF2_9CE4_8422_2325;

/// FNV-1a, 64 bits: small, and the same on every machine.
pub(super) fn fnv1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(FNV_OFFSET, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01B3)
    })
}
