//! The library in open formats: what stands in the tables and packages, what may never stand there, and the command.

mod command;
mod questions;
mod shape;
mod support;
mod tables;
