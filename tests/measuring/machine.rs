//! The machine: what it is, what it is busy with, and what a process used of it. From Linux's `/proc`.

use std::path::Path;

/// Ticks of the clock in which `/proc` counts processor time: 100 a second wherever Linux runs (`sysconf(_SC_CLK_TCK)`).
const TICKS: f64 = 100.0;

/// The magic number of tmpfs (`man 2 statfs`).
const TMPFS: i64 = 0x0102_1994;

/// Cores that this process may use.
pub(crate) fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

/// Processor, cores and memory, in one line.
pub(crate) fn description() -> String {
    let first = |file: &str, key: &str| {
        let text = std::fs::read_to_string(file).unwrap_or_default();
        let line = text.lines().find(|line| line.starts_with(key)).and_then(|line| line.split_once(':'));
        line.map_or_else(|| "unknown".to_owned(), |(_, value)| value.trim().to_owned())
    };
    let memory = first("/proc/meminfo", "MemTotal");
    let memory = memory.trim_end_matches(" kB").parse::<f64>().map_or(memory, |kb| format!("{:.1} GB", kb / 1e6));
    format!("{}, {} cores, {memory} of memory", first("/proc/cpuinfo", "model name"), cores())
}

/// Seconds of processor time that all processes have used so far, hypervisor's included.
pub(crate) fn busy() -> f64 {
    let text = std::fs::read_to_string("/proc/stat").expect("/proc/stat");
    let ticks: Vec<f64> =
        text.lines().next().unwrap_or("").split_whitespace().skip(1).filter_map(|it| it.parse().ok()).collect();
    // user, nice, system, [idle, iowait,] irq, softirq, steal; guests are counted as users already.
    [0, 1, 2, 5, 6, 7].into_iter().filter_map(|at| ticks.get(at)).sum::<f64>() / TICKS
}

/// Seconds of processor time that this process has used.
pub(crate) fn used() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").expect("/proc/self/stat");
    let after_name = text.rsplit_once(')').map_or("", |(_, rest)| rest);
    after_name.split_whitespace().skip(11).take(2).filter_map(|it| it.parse::<f64>().ok()).sum::<f64>() / TICKS
}

/// The most memory that this process ever held, in bytes.
pub(crate) fn peak() -> f64 {
    status("VmHWM:")
}

/// The memory that this process holds now, in bytes.
pub(crate) fn held() -> f64 {
    status("VmRSS:")
}

fn status(of: &str) -> f64 {
    let text = std::fs::read_to_string("/proc/self/status").expect("/proc/self/status");
    let line = text.lines().find_map(|line| line.strip_prefix(of)).expect("a line of it");
    line.trim().trim_end_matches(" kB").parse::<f64>().expect("a number of kilobytes") * 1024.0
}

/// Whether a folder lies in memory, and how many bytes there is room for.
pub(crate) fn room(folder: &Path) -> Option<(bool, f64)> {
    let system = rustix::fs::statfs(folder).ok()?;
    let free = system.f_bavail as f64 * system.f_bsize as f64;
    let in_memory = system.f_type as i64 == TMPFS;
    Some((in_memory, free))
}
