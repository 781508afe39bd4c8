//! Runs the print command, and tells apart what it means: paper, surely no paper, not known.

use crate::cli::args::Printing;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// A print system that does not answer in this time is not waited for.
const PATIENCE: Duration = Duration::from_secs(120);
/// Of what the command says, so much is kept.
const MOST_SAID: usize = 300;

/// How it went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Printed {
    /// The print system took it, and said this.
    Taken(String),
    /// The print system did not take it: nothing was printed.
    Refused(String),
    /// The command was ended from outside or did not end: whether paper came out is not known.
    Unclear(String),
}

/// Prints a file.
pub(super) fn print(printing: &Printing, file: &Path) -> Printed {
    run(printing, file, PATIENCE)
}

fn run(printing: &Printing, file: &Path, patience: Duration) -> Printed {
    let name = printing.program.to_string_lossy().into_owned();
    let mut command = Command::new(&printing.program);
    command.args(&printing.arguments).arg(file);
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = match command.spawn() {
        Ok(child) => child,
        Err(error) => return Printed::Refused(format!("`{name}` could not be started: {error}")),
    };
    let heard = [listen(child.stdout.take()), listen(child.stderr.take())];
    let ended = wait(&mut child, patience);
    let said: Vec<String> = heard
        .into_iter()
        .filter_map(|words| words.recv_timeout(Duration::from_secs(1)).ok())
        .filter(|words| !words.is_empty())
        .collect();
    let said = said.join("; ");
    let with = |words: String| if said.is_empty() { words } else { format!("{words}: {said}") };
    match ended {
        Err(error) => Printed::Unclear(format!("`{name}` was lost sight of: {error}")),
        Ok(None) => Printed::Unclear(with(format!(
            "`{name}` did not end within {} s and was stopped",
            patience.as_secs()
        ))),
        Ok(Some(status)) => match status.code() {
            Some(0) => Printed::Taken(said),
            Some(code) => Printed::Refused(with(format!("`{name}` ended with code {code}"))),
            None => Printed::Unclear(with(format!("`{name}` was stopped from outside"))),
        },
    }
}

/// Hears what the command says, without holding it up or waiting for its children.
fn listen(pipe: Option<impl Read + Send + 'static>) -> Receiver<String> {
    let (tell, told) = channel();
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        if let Some(mut pipe) = pipe {
            let mut buffer = [0; 1024];
            while let Ok(count @ 1..) = pipe.read(&mut buffer) {
                bytes.extend_from_slice(buffer.get(..count).unwrap_or_default());
                bytes.truncate(64 * 1024);
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        // Nobody may listen any more.
        let _ = tell.send(words.chars().take(MOST_SAID).collect());
    });
    told
}

fn wait(
    child: &mut Child,
    patience: Duration,
) -> std::io::Result<Option<std::process::ExitStatus>> {
    let begin = Instant::now();
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(Some(status));
        }
        if begin.elapsed() >= patience {
            child.kill()?;
            child.wait()?;
            return Ok(None);
        }
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    fn shell(script: &str, patience: Duration) -> Printed {
        let printing = Printing {
            program: "sh".into(),
            arguments: vec!["-c".into(), script.into(), "sh".into()],
        };
        run(&printing, Path::new("/tmp/sheet.pdf"), patience)
    }

    #[test]
    fn paper_no_paper_and_not_known_are_told_apart() {
        let long = Duration::from_secs(20);
        assert_eq!(shell("echo took $1", long), Printed::Taken("took /tmp/sheet.pdf".to_owned()));
        let Printed::Refused(why) = shell("echo no default >&2; exit 1", long) else { panic!() };
        assert_eq!(why, "`sh` ended with code 1: no default");
        assert!(matches!(shell("kill -9 $$", long), Printed::Unclear(_)));
        let Printed::Unclear(why) = shell("exec sleep 60", Duration::from_millis(200)) else {
            panic!()
        };
        assert!(why.contains("did not end"), "{why}");
        let none = Printing { program: "no-such-printer-program".into(), arguments: Vec::new() };
        assert!(matches!(print(&none, Path::new("x")), Printed::Refused(_)));
    }

    #[test]
    fn a_command_that_talks_much_or_leaves_children_is_not_waited_for() {
        let Printed::Taken(said) = shell("yes word | head -c 300000", Duration::from_secs(20))
        else {
            panic!()
        };
        assert_eq!(said.chars().count(), MOST_SAID);
        let begin = Instant::now();
        assert!(matches!(shell("sleep 30 & exit 0", Duration::from_secs(20)), Printed::Taken(_)));
        assert!(begin.elapsed() < Duration::from_secs(10));
    }
}
