//! What an answer carries: bytes, or a film that is read piece by piece while it is sent.

use super::world;
use crate::media;
use crate::model::site::CopyOf;
use hyper::body::{Body as HttpBody, Bytes, Frame, SizeHint};
use std::io::{self, Write};
use std::ops::Range;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::{mpsc, oneshot};

/// Pieces that lie ready for a browser that reads slowly; each is at most as large as the copier's room, 256 KiB.
const READY: usize = 4;

/// What an answer carries.
pub(super) enum Body {
    /// These bytes, once.
    Whole(Option<Bytes>),
    /// Pieces as they are read, and how many bytes are still to come.
    Pieces(mpsc::Receiver<io::Result<Bytes>>, u64),
}

impl Body {
    /// Nothing.
    pub(super) fn nothing() -> Self {
        Self::Whole(None)
    }

    /// A part of a copy of a picture or film.
    ///
    /// # Errors
    /// If the original cannot be opened, or is shorter than it was.
    pub(super) async fn copy(copy: CopyOf, part: Range<u64>) -> io::Result<Self> {
        let (send, pieces) = mpsc::channel(READY);
        let (opened, is_open) = oneshot::channel();
        let left = part.end - part.start;
        tokio::task::spawn_blocking(move || {
            let file = world::open(&copy.from, copy.recipe.needs());
            let (mut file, told) = match file {
                Ok(file) => (file, opened.send(Ok(()))),
                Err(error) => return drop(opened.send(Err(error))),
            };
            let mut sink = Sink(send);
            if told.is_ok()
                && let Err(error) = media::copy(&mut file, &copy.recipe.part(part), &mut sink)
            {
                // The connection is cut, so that nobody takes a part for the whole.
                let _ = sink.0.blocking_send(Err(error));
            }
        });
        is_open.await.unwrap_or_else(|_| Err(io::Error::other("the reading ended")))?;
        Ok(Self::Pieces(pieces, left))
    }
}

/// Hands pieces on; it waits while the browser is behind.
struct Sink(mpsc::Sender<io::Result<Bytes>>);

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let piece = Bytes::copy_from_slice(bytes);
        self.0.blocking_send(Ok(piece)).map_err(|_| io::Error::from(io::ErrorKind::BrokenPipe))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl HttpBody for Body {
    type Data = Bytes;
    type Error = io::Error;

    fn poll_frame(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<io::Result<Frame<Bytes>>>> {
        match self.get_mut() {
            Self::Whole(bytes) => Poll::Ready(bytes.take().map(|bytes| Ok(Frame::data(bytes)))),
            Self::Pieces(pieces, left) => pieces.poll_recv(context).map(|piece| {
                let piece = piece?;
                if let Ok(bytes) = &piece {
                    *left = left.saturating_sub(bytes.len() as u64);
                }
                Some(piece.map(Frame::data))
            }),
        }
    }

    fn is_end_stream(&self) -> bool {
        match self {
            Self::Whole(bytes) => bytes.is_none(),
            Self::Pieces(_, left) => *left == 0,
        }
    }

    fn size_hint(&self) -> SizeHint {
        SizeHint::with_exact(match self {
            Self::Whole(bytes) => bytes.as_ref().map_or(0, |bytes| bytes.len() as u64),
            Self::Pieces(_, left) => *left,
        })
    }
}
