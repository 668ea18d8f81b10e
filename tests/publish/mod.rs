//! Publishing: what becomes of a folder when all goes well, when something fails, and when the run is killed.

mod folders;
mod journal;
mod kill;
mod pictures;
mod refusals;
mod stops;
mod support;
