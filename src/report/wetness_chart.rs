//! The picture of the moisture evidence for the terminal.
