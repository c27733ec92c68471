//! Running another program to its end or its time limit, and ending exactly what was started.

use std::io::Read;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread;
use std::time::{Duration, Instant};

const LOOK_EVERY: Duration = Duration::from_millis(20);
/// How long a program has to end by itself after it was asked to.
const GRACE: Duration = Duration::from_secs(5);

/// Minutes as a duration, for tables.
pub const fn minutes(count: u64) -> Duration {
    Duration::from_secs(count * 60)
}

/// Runs the command with no input; what it prints is seen as it comes.
///
/// # Errors
/// When it could not be started, ended with another status than 0, or took too long.
pub fn run(command: &mut Command, limit: Duration) -> Result<(), String> {
    let line = written(command);
    println!("$ {line}");
    let mut started = Started::new(command.stdin(Stdio::null()), &line)?;
    let status = started.wait(limit, &line)?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("`{line}` ended with {status}"))
    }
}

/// Runs the command with no input and gives back what it printed on its standard output.
///
/// # Errors
/// As for [`run`], with what it printed.
pub fn read(command: &mut Command, limit: Duration) -> Result<String, String> {
    let line = written(command);
    let mut started = Started::new(
        command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped()),
        &line,
    )?;
    let output = collect(started.0.stdout.take());
    let complaint = collect(started.0.stderr.take());
    let status = started.wait(limit, &line)?;
    let printed = |pipe: thread::JoinHandle<String>| pipe.join().unwrap_or_default();
    let (output, complaint) = (printed(output), printed(complaint));
    if status.success() {
        Ok(output)
    } else {
        Err(format!("`{line}` ended with {status}\n{output}{complaint}")
            .trim_end()
            .to_owned())
    }
}

/// Whether the command can be started and ends well. Prints nothing.
pub fn works(program: &str, arguments: &[&str]) -> bool {
    Command::new(program)
        .args(arguments)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

fn collect(pipe: Option<impl Read + Send + 'static>) -> thread::JoinHandle<String> {
    thread::spawn(move || {
        let mut bytes = Vec::new();
        if let Some(mut pipe) = pipe {
            // What came before the pipe broke is still worth showing.
            let _ = pipe.read_to_end(&mut bytes);
        }
        String::from_utf8_lossy(&bytes).into_owned()
    })
}

fn written(command: &Command) -> String {
    let mut words = vec![command.get_program().to_string_lossy().into_owned()];
    words.extend(command.get_args().map(|word| word.to_string_lossy().into_owned()));
    words.join(" ")
}

/// A program that was started here. It is ended when this is dropped.
struct Started(Child);

impl Started {
    fn new(command: &mut Command, line: &str) -> Result<Self, String> {
        command
            .spawn()
            .map(Self)
            .map_err(|why| format!("`{line}` could not be started: {why}"))
    }

    fn wait(&mut self, limit: Duration, line: &str) -> Result<ExitStatus, String> {
        let begun = Instant::now();
        loop {
            if let Some(status) = self.0.try_wait().map_err(|why| format!("`{line}`: {why}"))? {
                return Ok(status);
            }
            if begun.elapsed() > limit {
                self.end();
                return Err(format!(
                    "`{line}` was ended after {} minutes",
                    limit.as_secs() / 60
                ));
            }
            thread::sleep(LOOK_EVERY);
        }
    }

    /// Ends the program and all that it started, each by its own id.
    fn end(&mut self) {
        let family = descendants(self.0.id());
        signal("-TERM", &family);
        let asked = Instant::now();
        while asked.elapsed() < GRACE && matches!(self.0.try_wait(), Ok(None)) {
            thread::sleep(LOOK_EVERY);
        }
        signal("-KILL", &family);
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Drop for Started {
    fn drop(&mut self) {
        if matches!(self.0.try_wait(), Ok(None)) {
            self.end();
        }
    }
}

fn signal(name: &str, ids: &[u32]) {
    let ids: Vec<String> = ids.iter().map(u32::to_string).collect();
    let mut arguments = vec![name];
    arguments.extend(ids.iter().map(String::as_str));
    works("kill", &arguments);
}

/// The id and those of all that descends from it, as they are now.
fn descendants(id: u32) -> Vec<u32> {
    let listed = Command::new("ps")
        .args(["-A", "-o", "pid=,ppid="])
        .stdin(Stdio::null())
        .output();
    let listed = listed
        .map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
        .unwrap_or_default();
    let pairs: Vec<(u32, u32)> = listed
        .lines()
        .filter_map(|line| {
            let mut numbers = line.split_whitespace().map(str::parse);
            Some((numbers.next()?.ok()?, numbers.next()?.ok()?))
        })
        .collect();
    below(id, &pairs)
}

fn below(id: u32, pairs: &[(u32, u32)]) -> Vec<u32> {
    let mut family = vec![id];
    let mut unseen = vec![id];
    while let Some(parent) = unseen.pop() {
        for (child, _) in pairs.iter().filter(|(_, of)| *of == parent) {
            if !family.contains(child) {
                family.push(*child);
                unseen.push(*child);
            }
        }
    }
    family
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shell(script: &str) -> Command {
        let mut command = Command::new("sh");
        command.args(["-c", script]);
        command
    }

    #[test]
    fn what_a_program_printed_is_given_back() {
        assert_eq!(
            read(&mut shell("echo one; echo two >&2"), minutes(1)),
            Ok("one\n".to_owned())
        );
    }

    #[test]
    fn a_program_that_failed_is_named_with_what_it_said() {
        let why = read(&mut shell("echo one; echo two >&2; exit 3"), minutes(1)).unwrap_err();
        assert!(why.contains("exit 3") && why.contains("\none\ntwo"), "{why}");
        assert!(run(&mut shell("exit 1"), minutes(1)).is_err());
        assert!(run(&mut Command::new("no-such-program-here"), minutes(1)).is_err());
    }

    #[test]
    fn a_program_gets_no_input() {
        assert_eq!(read(&mut shell("cat"), minutes(1)), Ok(String::new()));
    }

    #[test]
    fn a_program_over_its_limit_is_ended_with_its_children() {
        let mut command = shell("sleep 600 & echo $!; wait");
        command.stdin(Stdio::null()).stdout(Stdio::piped());
        let mut started = Started::new(&mut command, "sleeper").unwrap();
        let mut output = started.0.stdout.take().unwrap();
        let mut child = [0; 16];
        let length = output.read(&mut child).unwrap();
        let child = String::from_utf8_lossy(&child[..length]).trim().to_owned();
        assert!(works("kill", &["-0", &child]));
        assert!(started.wait(Duration::ZERO, "sleeper").is_err());
        assert!(!works("kill", &["-0", &child]) || is_dead(&child));
    }

    /// A child whose parent is gone may wait to be buried by the system's first process.
    fn is_dead(id: &str) -> bool {
        let state = Command::new("ps")
            .args(["-o", "stat=", "-p", id])
            .output()
            .unwrap()
            .stdout;
        state.is_empty() || state.starts_with(b"Z")
    }

    #[test]
    fn a_family_is_found_by_its_ids() {
        assert_eq!(below(2, &[(2, 1), (3, 2), (4, 3), (5, 1), (6, 2)]), [2, 3, 6, 4]);
    }
}
