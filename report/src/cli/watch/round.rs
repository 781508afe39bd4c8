//! One look at the folder: makes and prints what is due.

use super::due::{self, Logs, MachineLogs, Ready, ready};
use super::durable;
use super::printer::{self, Printed};
use super::state::{Night, Print, State};
use crate::cli::args::WatchArgs;
use crate::cli::loaded::Loaded;
use crate::cli::press::{Made, Press, file_name};
use crate::cli::{CliError, say};
use crate::logset::{Listing, fingerprint};
use crate::settings::Site;
use crate::timeline::shift_of;
use chrono::{DateTime, NaiveDate, SecondsFormat, TimeDelta, Utc};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::{Instant, SystemTime};
use underbrush_protocol::checksum::{link_crc, log_crc};
use underbrush_protocol::time::UtcMs;

/// What a look came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Round {
    /// Data of a night are missing, or it is not known whether a sheet was printed.
    pub(super) with_loss: bool,
    /// Something could not be done, was told, and is tried again at the next look.
    pub(super) failed: bool,
    /// Logs still change: the next look may find more.
    pub(super) changing: bool,
}

/// A folder that is watched. Both folders are this process's own while it lives.
pub(super) struct Watcher<'a> {
    args: &'a WatchArgs,
    out: PathBuf,
    state: State,
    /// The log files as they were, and since when.
    seen: Option<(Listing, Instant)>,
    told: BTreeSet<String>,
    log_lock: Option<(PathBuf, Option<File>)>,
    _out_lock: File,
}

/// What one look knows.
struct Look<'a> {
    loaded: &'a Loaded,
    ended: NaiveDate,
    quiet: bool,
    now: DateTime<Utc>,
    /// Made when the first sheet is wanted.
    press: Option<Press<'a>>,
    round: Round,
}

impl<'a> Watcher<'a> {
    pub(super) fn open(args: &'a WatchArgs) -> Result<(Self, Round), CliError> {
        let out = args.out.clone().unwrap_or_else(|| args.files.folder().join("sheets"));
        let out_lock = durable::lock_out(&out)?;
        let out = out.canonicalize().unwrap_or(out);
        let state = State::open(&out)?;
        let told = BTreeSet::new();
        let mut watcher =
            Self { args, out, state, seen: None, told, log_lock: None, _out_lock: out_lock };
        let mut round = Round::default();
        for (date, night) in watcher.state.settle()? {
            round.with_loss = true;
            let file = watcher.out.join(&night.file);
            watcher.tell(&format!(
                "shift {date}: the run before this one ended while it printed. Whether paper came \
                 out is not known, so it is not printed again: if there is none, print {}",
                file.display()
            ));
        }
        Ok((watcher, round))
    }

    /// Says it on stderr, once.
    pub(super) fn tell(&mut self, words: &str) {
        if self.told.insert(words.to_owned()) {
            eprintln!("underbrush: {words}");
        }
    }

    /// Looks at the folder at the instant `now`.
    pub(super) fn look(&mut self, now: SystemTime) -> Result<Round, CliError> {
        let files = self.args.files.clone().find()?;
        self.lock_logs(&files.log)?;
        let listing = Listing::of(&files.log)?;
        if listing.is_empty() {
            return Ok(Round::default());
        }
        let quiet = self.quiet(listing, now);
        let loaded = Loaded::open(&files)?;
        let now = DateTime::<Utc>::from(now);
        self.doubt(&loaded, now);
        let Some(ended) = due::last_ended(&loaded.site, now) else {
            return Ok(Round::default());
        };
        let began = match self.state.began() {
            Some(date) => date,
            None => match first_night(&loaded, ended) {
                Some(date) => self.begin(&loaded, date)?,
                None => return Ok(Round { changing: !quiet, ..Round::default() }),
            },
        };
        let round = Round::default();
        let mut look = Look { loaded: &loaded, ended, quiet, now, press: None, round };
        for date in due::nights(began, ended) {
            if let Err(error) = self.night(&mut look, date) {
                look.round.failed = true;
                self.tell(&format!("shift {date}: {error}"));
            }
        }
        Ok(look.round)
    }

    fn lock_logs(&mut self, folder: &Path) -> Result<(), CliError> {
        if self.log_lock.as_ref().is_none_or(|(locked, _)| locked != folder) {
            self.log_lock = Some((folder.to_owned(), durable::lock_logs(folder)?));
        }
        Ok(())
    }

    /// Whether no log file has changed for a while, by the clock of the files or by ours.
    fn quiet(&mut self, listing: Listing, now: SystemTime) -> bool {
        let enough = self.args.quiet;
        let by_files = listing.quiet_for(now).is_some_and(|age| age >= enough);
        match &self.seen {
            Some((seen, since)) if *seen == listing => by_files || since.elapsed() >= enough,
            _ => {
                self.seen = Some((listing, Instant::now()));
                by_files
            }
        }
    }

    /// What nobody would notice otherwise.
    fn doubt(&mut self, loaded: &Loaded, now: DateTime<Utc>) {
        for machine in &loaded.machines {
            let id = &machine.machine.id;
            let undated = machine.logs.boots.iter().filter(|boot| boot.undated().is_some());
            for boot in undated {
                self.tell(&format!(
                    "machine {id}: the log of power-on {n} has no date, so its night is not known; \
                     if you know it, `underbrush sheet --boot {n}=TIME` makes its sheet",
                    n = boot.boot
                ));
            }
            let last = machine.logs.utc_span().map(|(_, last)| last.0);
            let last = last.and_then(DateTime::from_timestamp_millis);
            if let Some(last) = last.filter(|last| *last - now > TimeDelta::days(1)) {
                self.tell(&format!(
                    "machine {id}: its log reaches to {}, but this computer's clock says {}: \
                     check the clock; nights after it have not ended for this program",
                    last.to_rfc3339_opts(SecondsFormat::Secs, true),
                    now.to_rfc3339_opts(SecondsFormat::Secs, true)
                ));
            }
        }
    }

    /// Begins with the last night that logs cover; those before it are past.
    fn begin(&mut self, loaded: &Loaded, date: NaiveDate) -> Result<NaiveDate, CliError> {
        let file = file_name(loaded, date);
        if self.out.join(&file).exists() {
            self.tell(&format!(
                "shift {date}: {file} is there already, but nothing says whether it was printed: \
                 it is not printed"
            ));
            let night = Night {
                issue: 1,
                made: String::new(),
                file,
                logs: String::new(),
                sheet: String::new(),
                print: Print::NotAsked,
            };
            self.state.set(date, night)?;
        }
        self.state.begin(date)?;
        Ok(date)
    }

    fn night(&mut self, look: &mut Look<'_>, date: NaiveDate) -> Result<(), CliError> {
        let loaded = look.loaded;
        let shift = shift_of(&loaded.site, date)?;
        let machines = loaded.machines.iter();
        let files: Vec<BTreeSet<&Path>> =
            machines.clone().map(|m| m.logs.files_in(shift.span)).collect();
        if files.iter().all(BTreeSet::is_empty) {
            return Ok(());
        }
        let logs = fingerprint_of(files.iter().flatten().copied())?;
        let known = self.state.night(date).cloned();
        let lost =
            |night: &Night| night.print == Print::Wanted && !self.out.join(&night.file).exists();
        if known.as_ref().is_none_or(|night| night.logs != logs || lost(night)) {
            let end = UtcMs(shift.span.to.timestamp_millis());
            let machine_logs = |(m, files): (&crate::cli::loaded::LoadedMachine, &BTreeSet<_>)| {
                let id = m.machine.id.clone();
                MachineLogs { id, some: !files.is_empty(), to_end: m.logs.reaches(end) }
            };
            let case = Logs {
                shift_end: shift.span.to,
                machines: machines.zip(&files).map(machine_logs).collect(),
                quiet: look.quiet,
            };
            if !self.may_make(&case, look, known.is_some(), date) {
                return Ok(());
            }
            self.make(look, date, logs, known)?;
        }
        self.print(look, date)
    }

    /// Whether the sheet of a night is made at this look.
    fn may_make(&mut self, case: &Logs, look: &mut Look<'_>, again: bool, date: NaiveDate) -> bool {
        if again {
            look.round.changing |= !case.quiet;
            return case.quiet;
        }
        let wait = TimeDelta::from_std(self.args.wait).unwrap_or_default();
        match ready(case, wait, look.now) {
            Ready::Yes => true,
            Ready::Changing => {
                look.round.changing = true;
                false
            }
            Ready::Missing(machines, until) => {
                let until = until.with_timezone(&look.loaded.site.zone);
                self.tell(&format!(
                    "shift {date}: no log yet of {}; waiting until {}",
                    machines.join(", "),
                    until.format("%H:%M")
                ));
                false
            }
        }
    }

    fn make<'b>(
        &mut self,
        look: &mut Look<'b>,
        date: NaiveDate,
        logs: String,
        known: Option<Night>,
    ) -> Result<(), CliError> {
        let options = self.args.look.options(&look.loaded.site);
        let (loaded, ended) = (look.loaded, look.ended);
        let press: &mut Press<'b> =
            look.press.get_or_insert_with(|| Press::new(loaded, ended, options));
        let Made { sheet, losses, data_lost, .. } = press.sheet(date)?;
        let plain = sheet.to_pdf()?;
        let mark = mark_of(&plain);
        let file = file_name(loaded, date);
        let path = self.out.join(&file);
        // What was found lying there at the beginning has no mark: it is left as it is.
        let same = known.as_ref().filter(|night| night.sheet == mark || night.sheet.is_empty());
        let issue = match (&known, same) {
            (Some(_), Some(same)) => same.issue,
            (Some(known), None) => known.issue.saturating_add(1),
            (None, _) => 1,
        };
        if same.is_none() || !path.exists() {
            let bytes = match issue {
                1 => plain,
                number => sheet.of_issue(number).to_pdf()?,
            };
            durable::write(&path, &bytes)?;
            for loss in losses {
                self.tell(&loss);
            }
            look.round.with_loss |= data_lost;
            say(&format!("{}\n", path.display()))?;
        }
        let wanted = self.args.printing.is_some()
            && match known.as_ref().map(|night| &night.print) {
                None | Some(Print::Wanted) => true,
                Some(_) => same.is_none() && self.args.reprint_changed,
            };
        let remade = same.is_none() && issue > 1;
        let before = known.map(|night| night.print);
        if remade && !wanted {
            self.tell(&format!(
                "shift {date}: more logs came in; the sheet was made again as issue {issue}, \
                 and not printed"
            ));
        }
        let print = if wanted { Print::Wanted } else { before.unwrap_or(Print::NotAsked) };
        let made = look.now.to_rfc3339_opts(SecondsFormat::Secs, true);
        self.state.set(date, Night { issue, made, file, logs, sheet: mark, print })
    }

    /// Prints the sheet of a night, if that is wanted.
    fn print(&mut self, look: &mut Look<'_>, date: NaiveDate) -> Result<(), CliError> {
        let Some(printing) = &self.args.printing else { return Ok(()) };
        let Some(night) = self.state.night(date).filter(|n| n.print == Print::Wanted).cloned()
        else {
            return Ok(());
        };
        let path = self.out.join(&night.file);
        let issue = night.issue;
        let at = look.now.to_rfc3339_opts(SecondsFormat::Secs, true);
        let with = |print: Print| Night { print, ..night.clone() };
        if let Err(error) = self.state.set(date, with(Print::Begun { issue, at: at.clone() })) {
            // Nothing was begun: this run may try again. The file may say otherwise; then a
            // run after this one does not print.
            let _ = self.state.set(date, night);
            return Err(error);
        }
        match printer::print(printing, &path) {
            Printed::Taken(said) => {
                say(&format!("printed {}: {said}\n", night.file))?;
                self.state.set(date, with(Print::Done { issue, at, said }))
            }
            Printed::Refused(why) => {
                look.round.failed = true;
                self.tell(&format!("shift {date}: not printed: {why}; the next look tries again"));
                self.state.set(date, night)
            }
            Printed::Unclear(why) => {
                look.round.with_loss = true;
                self.tell(&format!(
                    "shift {date}: whether paper came out is not known: {why}. It is not printed \
                     again: if there is none, print {}",
                    path.display()
                ));
                self.state.set(date, with(Print::Unclear { issue, since: at }))
            }
        }
    }
}

/// The last night up to `ended` that any log covers.
fn first_night(loaded: &Loaded, ended: NaiveDate) -> Option<NaiveDate> {
    let site: &Site = &loaded.site;
    let date = |at: UtcMs| Some(site.shift_date(DateTime::from_timestamp_millis(at.0)?));
    let spans = loaded.machines.iter().flat_map(|machine| &machine.logs.boots);
    let spans = spans.filter_map(crate::logset::BootLog::utc_span);
    let covered: BTreeSet<NaiveDate> = spans
        .filter_map(|(from, to)| Some((date(from)?, date(to)?)))
        .flat_map(|(from, to)| {
            from.iter_days().take_while(move |day| *day <= to.min(ended)).collect::<Vec<_>>()
        })
        .collect();
    covered.into_iter().rev().find(|date| {
        let Ok(shift) = shift_of(site, *date) else { return false };
        loaded.machines.iter().any(|machine| !machine.logs.files_in(shift.span).is_empty())
    })
}

/// Of all log files of a night: names, lengths, checksums.
fn fingerprint_of<'p>(files: impl Iterator<Item = &'p Path>) -> Result<String, CliError> {
    let mut text = String::new();
    for path in files {
        let fail = |source| CliError::File { path: path.display().to_string(), source };
        let (length, crc) = fingerprint(path).map_err(fail)?;
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let _ = writeln!(text, "{name} {length} {crc:08x}");
    }
    Ok(mark_of(text.as_bytes()))
}

/// Two checksums and the length: enough to see that something differs, no seal against forgery.
fn mark_of(bytes: &[u8]) -> String {
    format!("{:08x}{:08x}-{}", log_crc(&[bytes]), link_crc(bytes), bytes.len())
}
