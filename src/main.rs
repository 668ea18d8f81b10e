//! The `casewright` command.

fn main() -> casewright::cli::Exit {
    casewright::cli::run()
}
