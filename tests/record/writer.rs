//! A process that does nothing but write entries: this test program once more, told so by its environment.

use super::scene::scene;
use bubblemargin::record::draft::Draft;
use bubblemargin::record::entry::Content;
use bubblemargin::record::store::Store;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;

const FILE: &str = "BUBBLEMARGIN_TEST_RECORD";
const MODEL_FILE: &str = "BUBBLEMARGIN_TEST_MODEL";
const COUNT: &str = "BUBBLEMARGIN_TEST_COUNT";

/// Entries of several sizes, from one page of the file to some dozens.
fn drafts(model: &Path) -> Vec<Draft> {
    let rows = Store::open_to_read(model).unwrap().list().unwrap();
    let of_size = |bytes: usize| {
        let entry = rows[2].entry().unwrap();
        let mut content = entry.content;
        if let Content::Authorisation(authorisation) = &mut content {
            authorisation.inputs.clear();
            authorisation.answer = "x".repeat(bytes);
            let verdict = authorisation.assessment["verdict"].clone();
            authorisation.assessment = serde_json::json!({ "verdict": verdict });
        }
        Draft { written: entry.written, content }
    };
    [0, 20_000, 3_000, 90_000].map(of_size).into()
}

/// Starts one that writes so many entries, or goes on until it is killed, and prints the id of each once it is
/// acknowledged.
pub(crate) fn writer(file: &Path, count: usize) -> Child {
    static MODEL: OnceLock<PathBuf> = OnceLock::new();
    let model = MODEL.get_or_init(|| scene("writer"));
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "writer::writes_entries", "--ignored", "--nocapture"])
        .env(FILE, file)
        .env(MODEL_FILE, model)
        .env(COUNT, count.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// The ids that one acknowledged. A line that was not finished counts for nothing.
pub(crate) fn acknowledged(printed: &str) -> Vec<&str> {
    let whole = printed.rfind('\n').map_or("", |end| &printed[..end]);
    whole.lines().filter_map(|line| line.split_once("acknowledged ").map(|(_, id)| id)).collect()
}

#[test]
#[ignore = "the part of another process in tests about killed and competing writers"]
fn writes_entries() {
    let Some(file) = std::env::var_os(FILE).map(PathBuf::from) else {
        return;
    };
    let count: usize = std::env::var(COUNT).unwrap().parse().unwrap();
    let drafts = drafts(Path::new(&std::env::var_os(MODEL_FILE).unwrap()));
    let mut written = 0;
    while count == 0 || written < count {
        // Opened anew each time, as `check --record` does.
        let mut store = Store::open(&file).unwrap();
        for draft in &drafts {
            let id = store.append(draft).unwrap().id;
            let mut stdout = std::io::stdout();
            writeln!(stdout, "acknowledged {id}").unwrap();
            stdout.flush().unwrap();
            written += 1;
        }
    }
}
