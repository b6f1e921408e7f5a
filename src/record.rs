//! The record of authorisations: who asked, what was answered, who decided, on which numbers.
//!
//! A record is a file that entries are added to and never taken from. Every entry holds the hash of the one before
//! ([`chain`]), so that [`verify`] finds whatever was changed, removed or put elsewhere. The direction of data:
//! [`entry`] (plain data) ← [`statement`], [`decision`] (what may be recorded) ← [`draft`] ← [`chain`] ←
//! [`verify`] (with [`fault`]) ←
//! [`store`] ← [`export`]. Files are opened in [`store`] alone, and only where `cli` asks for it. No clock is read
//! here: whoever records says when.
//!
//! What it cannot do: whoever can write to the file can make all of it anew, hashes and all. That is found only by a
//! number and hash that were noted elsewhere, on paper or in a log book; [`verify::Noted`] is one.

pub mod chain;
pub mod decision;
pub mod draft;
pub mod entry;
pub mod export;
pub mod fault;
pub mod judged_day;
pub mod recheck;
pub mod statement;
pub mod store;
pub mod verify;
