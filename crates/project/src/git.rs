//! A commit of the git repository around a path, read through git's plumbing: nothing is checked
//! out, nothing is written.

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A git repository with a work tree.
#[derive(Clone, Debug)]
pub struct Repository {
    top: PathBuf,
}

/// A file of a commit: its mode (`100644`, `120000` for a link, `160000` for a submodule) and the id
/// of its content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blob {
    /// The mode, in the six digits that git writes.
    pub mode: String,
    /// The id, in hexadecimal digits.
    pub id: String,
}

impl Blob {
    /// Whether it is a plain file, neither a link nor a submodule.
    #[must_use]
    pub fn is_file(&self) -> bool {
        self.mode.starts_with("100")
    }
}

/// Why git gave no answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GitProblem {
    /// The program is not there or cannot be started.
    NoGit(String),
    /// The path lies in no work tree.
    NoRepository(String),
    /// No commit has this name.
    NoCommit {
        /// The name that was given.
        revision: String,
        /// Whether the clone holds only part of the history.
        shallow: bool,
    },
    /// Git says something else.
    Said(String),
}

impl std::fmt::Display for GitProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoGit(why) => write!(f, "git cannot be run: {why}"),
            Self::NoRepository(path) => write!(f, "{path} is in no git repository"),
            Self::NoCommit { revision, shallow: false } => {
                write!(f, "there is no commit `{revision}`")
            }
            Self::NoCommit { revision, shallow: true } => write!(
                f,
                "there is no commit `{revision}` here: this clone holds only part of the history; \
                 fetch it first, as with `git fetch --unshallow`"
            ),
            Self::Said(what) => write!(f, "git: {what}"),
        }
    }
}

impl std::error::Error for GitProblem {}

impl Repository {
    /// The repository in whose work tree a path lies.
    ///
    /// # Errors
    /// When there is none, or git cannot be run.
    pub fn around(path: &Path) -> Result<Self, GitProblem> {
        let folder = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let told = run(folder, &["rev-parse", "--show-toplevel"], None);
        let top = told.map_err(|problem| match problem {
            // What is wrong with a repository that is there has to be told as git tells it.
            GitProblem::Said(what) if what.contains("not a git repository") => {
                GitProblem::NoRepository(path.display().to_string())
            }
            other => other,
        })?;
        let top = to_path(top.strip_suffix(b"\n").unwrap_or(&top));
        if top.as_os_str().is_empty() {
            return Err(GitProblem::NoRepository(path.display().to_string()));
        }
        let top = top.canonicalize().unwrap_or(top);
        Ok(Self { top })
    }

    /// The top folder of the work tree, resolved.
    #[must_use]
    pub fn top(&self) -> &Path {
        &self.top
    }

    /// The id of the commit that a revision (a branch, a tag, an id, `HEAD~2`) names.
    ///
    /// # Errors
    /// When there is no such commit in this clone.
    pub fn commit(&self, revision: &str) -> Result<String, GitProblem> {
        let wanted = format!("{revision}^{{commit}}");
        let arguments = ["rev-parse", "--verify", "--quiet", "--end-of-options", &wanted];
        match run(&self.top, &arguments, None) {
            // It would be no use to look in the repository for a name that git cannot take.
            Ok(id) if !revision.is_empty() => Ok(line(&id)),
            Err(GitProblem::NoGit(why)) => Err(GitProblem::NoGit(why)),
            Ok(_) | Err(_) => {
                let (revision, shallow) = (revision.to_owned(), self.is_shallow());
                Err(GitProblem::NoCommit { revision, shallow })
            }
        }
    }

    /// Whether the clone holds only part of the history.
    fn is_shallow(&self) -> bool {
        let told = run(&self.top, &["rev-parse", "--is-shallow-repository"], None);
        told.is_ok_and(|told| line(&told) == "true")
    }

    /// The best common ancestor of two commits, as a merge would take it.
    ///
    /// # Errors
    /// When they have none in this clone.
    pub fn merge_base(&self, one: &str, other: &str) -> Result<String, GitProblem> {
        let (one, other) = (self.commit(one)?, self.commit(other)?);
        run(&self.top, &["merge-base", &one, &other], None).map(|id| line(&id)).map_err(|problem| {
            match problem {
                GitProblem::Said(what) if what.is_empty() && self.is_shallow() => {
                    let part = "this clone holds only part of the history; fetch more of it, as \
                                with `git fetch --unshallow`";
                    GitProblem::Said(format!(
                        "the two commits have no common ancestor here: {part}"
                    ))
                }
                GitProblem::Said(what) if what.is_empty() => {
                    GitProblem::Said("the two commits have no common ancestor here".to_owned())
                }
                other => other,
            }
        })
    }

    /// The files of a commit, given by its id, by their path from the top folder.
    ///
    /// # Errors
    /// When the commit cannot be read.
    pub fn tree(&self, commit: &str) -> Result<BTreeMap<PathBuf, Blob>, GitProblem> {
        let told = run(&self.top, &["ls-tree", "-r", "-z", "--full-tree", commit], None)?;
        // Each entry: MODE TYPE ID, a tab, the path.
        let entries = told.split(|byte| *byte == 0).filter(|entry| !entry.is_empty());
        Ok(entries
            .filter_map(|entry| {
                let tab = entry.iter().position(|byte| *byte == b'\t')?;
                let (head, path) = entry.split_at_checked(tab)?;
                let head = String::from_utf8_lossy(head);
                let mut words = head.split_ascii_whitespace();
                let (mode, id) = (words.next()?.to_owned(), words.nth(1)?.to_owned());
                Some((to_path(path.get(1..)?), Blob { mode, id }))
            })
            .collect())
    }

    /// The bytes of a blob.
    ///
    /// # Errors
    /// When there is no such blob in this clone.
    pub fn blob(&self, id: &str) -> Result<Vec<u8>, GitProblem> {
        run(&self.top, &["cat-file", "blob", id], None)
    }

    /// The bytes of several blobs, in their order, by one run of git; none for one that this clone
    /// does not hold.
    ///
    /// # Errors
    /// When git cannot be run, or says what nobody understands.
    pub fn blobs(&self, ids: &[&str]) -> Result<Vec<Option<Vec<u8>>>, GitProblem> {
        let input = ids.iter().fold(String::new(), |all, id| all + id + "\n");
        let told = run(&self.top, &["cat-file", "--batch"], Some(input.as_bytes()))?;
        let mut rest = told.as_slice();
        let mut out = Vec::with_capacity(ids.len());
        let odd = || GitProblem::Said("an answer that makes no sense".to_owned());
        for _ in ids {
            // `ID TYPE SIZE`, a line end, the bytes, a line end; or `ID missing`.
            let end = rest.iter().position(|byte| *byte == b'\n').ok_or_else(odd)?;
            let (head, after) = rest.split_at_checked(end).ok_or_else(odd)?;
            let head = String::from_utf8_lossy(head).into_owned();
            rest = after.get(1..).ok_or_else(odd)?;
            if head.ends_with(" missing") {
                out.push(None);
                continue;
            }
            let size = head.rsplit(' ').next().and_then(|size| size.parse::<usize>().ok());
            let (bytes, after) = rest.split_at_checked(size.ok_or_else(odd)?).ok_or_else(odd)?;
            out.push(Some(bytes.to_vec()));
            rest = after.get(1..).ok_or_else(odd)?;
        }
        Ok(out)
    }

    /// What the ids of files of the work tree would be if they were committed as they are now,
    /// index or no index. A path that cannot be asked for has none.
    ///
    /// # Errors
    /// When git cannot read one of them.
    pub fn ids(&self, paths: &[PathBuf]) -> Result<BTreeMap<PathBuf, String>, GitProblem> {
        // One path a line: a line end inside a path, or a quotation mark at its start, would be
        // taken for something else.
        let asked = |path: &&PathBuf| {
            let text = path.to_str()?;
            let plain = !text.starts_with('"') && !text.contains(['\n', '\r', '\0']);
            (plain && self.top.join(path).is_file()).then(|| text.to_owned())
        };
        let (asked, texts): (Vec<&PathBuf>, Vec<String>) =
            paths.iter().filter_map(|path| Some((path, asked(&path)?))).unzip();
        if asked.is_empty() {
            return Ok(BTreeMap::new());
        }
        let input = texts.iter().fold(String::new(), |all, text| all + text + "\n");
        let told = run(&self.top, &["hash-object", "--stdin-paths"], Some(input.as_bytes()))?;
        let told = String::from_utf8_lossy(&told).into_owned();
        Ok(asked.into_iter().cloned().zip(told.lines().map(str::to_owned)).collect())
    }
}

fn line(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).trim_end().to_owned()
}

#[cfg(unix)]
fn to_path(bytes: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStrExt;
    PathBuf::from(std::ffi::OsStr::from_bytes(bytes))
}

#[cfg(not(unix))]
fn to_path(bytes: &[u8]) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(bytes).into_owned())
}

/// What git prints when it is run in a folder.
fn run(folder: &Path, arguments: &[&str], input: Option<&[u8]>) -> Result<Vec<u8>, GitProblem> {
    let mut command = Command::new("git");
    command.current_dir(folder).args(arguments).env("LC_ALL", "C").env("GIT_OPTIONAL_LOCKS", "0");
    // Nothing is fetched, and nobody is asked for a password.
    command.env("GIT_NO_LAZY_FETCH", "1").env("GIT_TERMINAL_PROMPT", "0");
    // In a hook git speaks of the repository that runs it; here the path decides.
    for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX"] {
        command.env_remove(name);
    }
    let feed = if input.is_some() { Stdio::piped() } else { Stdio::null() };
    command.stdin(feed).stdout(Stdio::piped()).stderr(Stdio::piped());
    let broken = |error: std::io::Error| GitProblem::NoGit(error.to_string());
    let mut child = command.spawn().map_err(broken)?;
    // Git may answer before it has read everything: it is fed from beside, so that no pipe fills.
    let fed = child.stdin.take().zip(input.map(<[u8]>::to_vec)).map(|(mut pipe, input)| {
        std::thread::Builder::new().spawn(move || {
            // A git that stops early says why itself.
            let _ = pipe.write_all(&input);
        })
    });
    // Without its feeder git reads an empty input, and what it says of that is not used.
    let fed = fed.transpose();
    let output = child.wait_with_output().map_err(broken)?;
    if let Some(fed) = fed.map_err(broken)? {
        let _ = fed.join();
    }
    if output.status.success() {
        return Ok(output.stdout);
    }
    let said = String::from_utf8_lossy(&output.stderr);
    let said = said.trim_end();
    let said = said.strip_prefix("fatal: ").unwrap_or(said);
    Err(GitProblem::Said(said.lines().next().unwrap_or_default().to_owned()))
}
