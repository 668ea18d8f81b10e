//! The `casewright` command.

/// Pages are made of millions of small strings, on all cores: the allocator of the system spends a quarter of a compile on them.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> casewright::cli::Exit {
    casewright::cli::run()
}
