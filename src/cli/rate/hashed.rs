//! The flags that a rating depends on as one text, and whether two such texts ask the same.

use super::RateArguments;

/// The flags that an answer depends on.
pub(super) fn hashed_flags(arguments: &RateArguments) -> String {
    let table = (&arguments.durations, &arguments.preload, &arguments.ambient);
    let around = (arguments.ambient_steps, &arguments.limits, &arguments.cooling);
    let errors = (arguments.load_std, arguments.ambient_std, arguments.draws, arguments.seed);
    let ambient = (arguments.percentile, arguments.dried_to);
    format!("{:?}{}", (table, around, errors, ambient), arguments.in_service.hashed())
}

/// What of [`hashed_flags`] every rating depends on, in their order there.
const OF_EVERY_RATING: [&str; 5] =
    ["--cooling", "--load-std", "--ambient-std", "--draws", "--seed"];

/// The first flag by which two questions differ in more than their tables, with both of its values.
///
/// The flags are those of [`hashed_flags`]. Flags that cannot be read are another question.
pub(super) fn other_question(then: &str, now: &str) -> Option<(&'static str, String, String)> {
    if then == now {
        return None;
    }
    let (then, in_service_then) = in_service_of(then);
    let (now, in_service_now) = in_service_of(now);
    if in_service_then != in_service_now {
        let words = |own: &str| if own.is_empty() { "not stated" } else { own.trim() }.to_owned();
        let (then, now) = (words(in_service_then), words(in_service_now));
        return Some(("--voltage-pu, --tap-in-service", then, now));
    }
    let (Some(then), Some(now)) = (of_every_rating(then), of_every_rating(now)) else {
        let unreadable = || "not readable by this version".to_owned();
        return Some(("flags", unreadable(), "those of this question".to_owned()));
    };
    let stated = |value: &str| match value.strip_prefix("Some(") {
        Some(value) => value.trim_end_matches(')').to_owned(),
        None if value == "None" => "not stated".to_owned(),
        None => value.to_owned(),
    };
    let mut pairs = OF_EVERY_RATING.into_iter().zip(then.iter().zip(&now));
    let (key, (then, now)) = pairs.find(|(_, (then, now))| then != now)?;
    Some((key, stated(then), stated(now)))
}

/// The flags as [`hashed_flags`] writes them without voltage and tap, and these two.
fn in_service_of(flags: &str) -> (&str, &str) {
    flags.split_at(flags.rfind(')').map_or(flags.len(), |end| end + 1))
}

/// The values of [`OF_EVERY_RATING`]; `None` where the text is not as [`hashed_flags`] writes it.
fn of_every_rating(flags: &str) -> Option<[&str; 5]> {
    // Behind the names of the limit sets, the only list of texts.
    let (_, rest) = flags.split_once("\"], ")?;
    let (rest, _of_the_table) = rest.rsplit_once("), (")?;
    let (cooling, errors) = rest.rsplit_once("), (")?;
    let mut errors = errors.split(", ");
    let mut next = || errors.next();
    let found = [cooling, next()?, next()?, next()?, next()?];
    errors.next().is_none().then_some(found)
}
