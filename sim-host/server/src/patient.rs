//! Connections that say nothing. A request that is begun and never ended, or a connection that asks for nothing at all, would hold a
//! socket for as long as its other end likes; so many of them, and nobody else gets in. A live websocket is never that still: its
//! page gives a sign of life every second.

use axum::serve::Listener;
use std::io::{Error, ErrorKind, Result};
use std::net::SocketAddr;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::{Instant, Sleep, sleep};

/// A connection from which nothing is heard for so long is closed. Longer than the server takes to make a debrief.
pub const SAYS_NOTHING: Duration = Duration::from_secs(60);

/// Listens, and loses patience with each connection by itself.
#[derive(Debug)]
pub struct Patient(pub TcpListener);

impl Listener for Patient {
    type Io = Heard<TcpStream>;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Self::Io, Self::Addr) {
        let (stream, address) = Listener::accept(&mut self.0).await;
        // A press is a small message; it must not wait for a larger one.
        if let Err(error) = stream.set_nodelay(true) {
            tracing::debug!("small messages may be delayed: {error}");
        }
        (Heard::new(stream), address)
    }

    fn local_addr(&self) -> Result<Self::Addr> {
        self.0.local_addr()
    }
}

/// A stream whose reading fails when nothing was heard for [`SAYS_NOTHING`].
#[derive(Debug)]
pub struct Heard<S> {
    stream: S,
    patience: Pin<Box<Sleep>>,
}

impl<S> Heard<S> {
    fn new(stream: S) -> Self {
        Self {
            stream,
            patience: Box::pin(sleep(SAYS_NOTHING)),
        }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Heard<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<Result<()>> {
        let read = Pin::new(&mut self.stream).poll_read(cx, buffer);
        if read.is_ready() {
            self.patience.as_mut().reset(Instant::now() + SAYS_NOTHING);
            return read;
        }
        match self.patience.as_mut().poll(cx) {
            Poll::Ready(()) => Poll::Ready(Err(Error::from(ErrorKind::TimedOut))),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Heard<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buffer: &[u8],
    ) -> Poll<Result<usize>> {
        Pin::new(&mut self.stream).poll_write(cx, buffer)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buffers: &[std::io::IoSlice<'_>],
    ) -> Poll<Result<usize>> {
        Pin::new(&mut self.stream).poll_write_vectored(cx, buffers)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}
