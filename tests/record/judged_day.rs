//! A go-ahead whose evidence was judged for another day than that of recording says so, and is acknowledged.

use super::question::Question;
use super::run::{T2, json, run};
use super::scene::{LIGHT, asked, fresh};
use bubblemargin::assessment::assess;
use bubblemargin::assessment::case::Case;
use bubblemargin::record::decision::{Decision, NotRecordable, weighing};
use bubblemargin::record::draft::{Draft, Matter};
use bubblemargin::record::entry::{Authorisation, Content, When};
use bubblemargin::record::judged_day::code;
use bubblemargin::record::statement::Statement;
use bubblemargin::record::store::Store;
use chrono::{DateTime, NaiveDate};

const JUDGED: &str = "2026-10-20";

fn case() -> Case {
    let mut case = Question { load_pu: 1.0, ..Question::easy() }.case();
    case.as_of = NaiveDate::from_ymd_opt(2026, 10, 20);
    case
}

/// What is recorded at this instant if all that the answer itself shows is acknowledged, and this code too.
fn recorded(decision: Decision, at: &str, also: &[&str]) -> Result<Authorisation, NotRecordable> {
    let case = case();
    let assessment = assess(&case);
    assert!(assessment.verdict.permits());
    let shown = weighing(&assessment.findings);
    let statement = Statement {
        decision,
        authorised_by: Some("A. Engineer".to_owned()),
        reason: Some("a test".to_owned()),
        acknowledged: shown.iter().chain(also).map(|code| (*code).to_owned()).collect(),
        ..Statement::default()
    };
    let matter = Matter {
        case: &case,
        assessment: &assessment,
        answer: "",
        in_words: "",
        start: None,
        command: &[],
        inputs: &[],
    };
    let at = When::of(DateTime::parse_from_rfc3339(at).unwrap());
    let draft = Draft::authorisation(&matter, &statement, at)?;
    match draft.content {
        Content::Authorisation(own) => Some(*own),
        Content::AfterEvent(_) => None,
    }
    .ok_or(NotRecordable::Nobody { what: "no authorisation" })
}

fn cautioned(own: &Authorisation) -> bool {
    own.cautions.iter().any(|caution| caution.code == code())
}

#[test]
fn a_go_ahead_on_another_day_is_recorded_only_if_that_is_acknowledged() {
    for (at, said) in [
        ("2026-11-29T09:00:00+00:00", "40 days before"),
        ("2026-10-21T09:00:00+01:00", "1 day before"),
        ("2026-10-18T09:00:00+01:00", "2 days after"),
    ] {
        let refused = recorded(Decision::GoAhead, at, &[]).unwrap_err();
        assert_eq!(refused, NotRecordable::NotAcknowledged { codes: code().to_owned() }, "{at}");
        let own = recorded(Decision::GoAhead, at, &[code()]).unwrap();
        let caution = own.cautions.iter().find(|caution| caution.code == code()).unwrap();
        assert!(caution.acknowledged);
        let text = caution.text.as_ref().unwrap();
        assert!(text.contains(JUDGED) && text.contains(said), "{text}");
    }
}

#[test]
fn a_go_ahead_on_the_day_needs_nothing_more_and_the_code_may_be_acknowledged_all_the_same() {
    for also in [&[][..], &[code()]] {
        let own = recorded(Decision::GoAhead, "2026-10-20T23:00:00+01:00", also).unwrap();
        assert!(!cautioned(&own), "{:?}", own.cautions);
    }
}

#[test]
fn a_refusal_needs_no_caution() {
    let own = recorded(Decision::Refused, "2026-11-29T09:00:00+00:00", &[]).unwrap();
    assert!(!cautioned(&own));
}

/// Whatever today is, it is not this day.
const LONG_AGO: [&str; 2] = ["--as-of", "2020-01-01"];

#[test]
fn the_caution_stands_beside_the_answer_in_the_record_and_in_what_is_shown() {
    let path = fresh("judged-day");
    let go = ["--decision", "go-ahead", "--authorised-by", "A. Engineer", "--reason", "a test"];
    let ran = asked(T2, &LIGHT, &path, &[&go[..], &LONG_AGO].concat());
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    let open = ran.stderr.lines().find_map(|line| line.split_once("not acknowledged: ")).unwrap().1;
    assert!(open.split(", ").any(|own| own == code()), "{open}");
    let said = "The evidence was judged for 2020-01-01, ";
    assert!(ran.stdout.contains(said), "the answer is not withheld: {}", ran.stdout);
    let all = open.replace(", ", ",");
    let flags = [&go[..], &LONG_AGO, &["--acknowledge", &all, "--format", "json"]].concat();
    let answer = json(&asked(T2, &LIGHT, &path, &flags));
    let finding = &answer["record"]["findings"][0];
    assert_eq!(
        (finding["code"].as_str(), finding["severity"].as_str()),
        (Some(code()), Some("caution"))
    );
    let shown = run(&["record", "show", path.to_str().unwrap(), "1"]).stdout;
    let one_line = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(one_line.matches(said).count() == 2, "in the sentence and beside the code: {shown}");
    assert!(one_line.contains(&format!("[x] acknowledged {}", code())), "{shown}");
    let rows = Store::open_to_read(&path).unwrap().list().unwrap();
    assert!(rows[0].fits() && rows[0].entry().is_ok());
}
