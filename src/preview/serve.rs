//! The server: listens on this machine alone, and hands each request to [`answer`].

use super::answer::answer;
use super::rounds::Shared;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use std::convert::Infallible;
use std::io::ErrorKind;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::ops::Range;
use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::Duration;
use tokio::sync::Notify;

/// How long a browser may take to say what it wants.
const PATIENCE: Duration = Duration::from_secs(30);

/// Listens on the port asked for, or on the first free one of ours.
///
/// # Errors
/// If none of them is free; the text says what to do.
pub(super) fn bind(asked: Option<u16>, ours: Range<u16>) -> Result<TcpListener, String> {
    let on = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    if let Some(port) = asked {
        return on(port).map_err(|error| match error.kind() {
            ErrorKind::AddrInUse => {
                format!(
                    "port {port} is taken by another program; ask for another with --port, or for any with --port 0"
                )
            }
            _ => format!("could not listen on port {port}: {error}"),
        });
    }
    let taken = format!("the ports from {} to {} are all taken; ask for another with --port", ours.start, ours.end - 1);
    ours.into_iter().find_map(|port| on(port).ok()).ok_or(taken)
}

/// A server in a thread of its own.
pub(super) struct Server {
    pub(super) address: SocketAddr,
    stop: Arc<Notify>,
    thread: Option<JoinHandle<()>>,
}

impl Server {
    /// Begins to serve.
    ///
    /// # Errors
    /// If the system gives no thread or no means to wait; the text says why.
    pub(super) fn begin(listener: TcpListener, shared: Arc<Shared>) -> Result<Self, String> {
        let failed = |error: std::io::Error| format!("could not start the server: {error}");
        let address = listener.local_addr().map_err(failed)?;
        listener.set_nonblocking(true).map_err(failed)?;
        let runtime = runtime().map_err(failed)?;
        let stop = Arc::new(Notify::new());
        let stopped = Arc::clone(&stop);
        let thread = std::thread::Builder::new().name("server".to_owned()).spawn(move || {
            runtime.spawn(accept(listener, shared, address.port()));
            runtime.block_on(stopped.notified());
            // Whoever still reads a film does not keep us.
            runtime.shutdown_background();
        });
        Ok(Self { address, stop, thread: Some(thread.map_err(failed)?) })
    }

    /// Ends it.
    pub(super) fn stop(&mut self) {
        self.stop.notify_one();
        if let Some(thread) = self.thread.take() {
            // It has nothing to say at its end.
            let _ = thread.join();
        }
    }
}

fn runtime() -> std::io::Result<tokio::runtime::Runtime> {
    tokio::runtime::Builder::new_current_thread().enable_all().build()
}

async fn accept(listener: TcpListener, shared: Arc<Shared>, port: u16) {
    let Ok(listener) = tokio::net::TcpListener::from_std(listener) else { return };
    loop {
        let Ok((stream, _)) = listener.accept().await else {
            // Too many open files, perhaps: others may close theirs meanwhile.
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        // Answers are short and wanted at once.
        let _ = stream.set_nodelay(true);
        let shared = Arc::clone(&shared);
        tokio::spawn(async move {
            let service = service_fn(move |request| {
                let shared = Arc::clone(&shared);
                async move { Ok::<_, Infallible>(answer(request.into_parts().0, &shared, port).await) }
            });
            // A browser that goes away in the middle is no fault.
            let _ = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(PATIENCE)
                .serve_connection(TokioIo::new(stream), service)
                .await;
        });
    }
}

/// Waits for Ctrl-C.
///
/// # Errors
/// If the system would not tell of it.
pub(super) fn until_interrupted() -> Result<(), String> {
    let waited = runtime().and_then(|runtime| runtime.block_on(tokio::signal::ctrl_c()));
    waited.map_err(|error| format!("could not wait for Ctrl-C: {error}"))
}
