//! The measures a surgeon writes: read, written back, and checked against published values.

mod check_values;
mod properties;
mod readings;
mod refusals;
