//! Listening: plain or encrypted, until the program is asked to end.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::serve::{Listener, ListenerExt as _};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::mpsc;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::server::TlsStream;

use crate::app;
use crate::config::Config;
use crate::probes::Following;
use crate::site::{News, NoSite, Read, Site};
use crate::tls;

/// What is told when the site has started.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Started {
    /// Where to open it.
    pub address: String,
    /// The code of the first start, while nobody is set up.
    pub code: Option<String>,
    /// SHA-256 of the site's authority, where it has one.
    pub fingerprint: Option<String>,
}

/// A handshake takes no longer.
const HANDSHAKE: Duration = Duration::from_secs(10);
/// Requests that are under way when the program is asked to end have so long.
const LAST: Duration = Duration::from_secs(5);
/// Ports that are tried after the first.
const PORTS: u16 = 20;

/// Serves a kitchen until the program is asked to end. `folder` is where the site's authority lies.
///
/// # Errors
/// [`NoSite`]: it cannot be started.
pub fn serve(
    mut config: Config,
    folder: &std::path::Path,
    read: Box<Read>,
    started: impl FnOnce(&Started),
) -> Result<(), NoSite> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .max_blocking_threads(32)
        .build()
        .map_err(NoSite::Listen)?;
    runtime.block_on(async {
        let listener = bind(&config).await.map_err(NoSite::Listen)?;
        config.listen = listener.local_addr().map_err(NoSite::Listen)?;
        let trust = if config.names.is_empty() {
            None
        } else {
            Some(tls::trust(folder, &config.names).map_err(NoSite::Certificate)?)
        };
        let site = tokio::task::spawn_blocking(move || Site::open(config, read, trust))
            .await
            .map_err(|error| NoSite::File(error.to_string()))??;
        started(&told(&site));
        let following = Following::begin(&site);
        let router = app::router(&site, site.trust.is_some());
        let ending = ended(Arc::clone(&site));
        let serving = async {
            match &site.trust {
                None => {
                    let listener = listener.tap_io(|stream| {
                        let _ = stream.set_nodelay(true);
                    });
                    axum::serve(listener, router.into_make_service_with_connect_info::<SocketAddr>())
                        .with_graceful_shutdown(ending)
                        .await
                }
                Some(trust) => {
                    let acceptor = TlsAcceptor::from(Arc::clone(&trust.config));
                    // Tapped, since axum tells the address of a listener of another kind only so.
                    let listener = Encrypted::new(listener, acceptor).tap_io(|_| {});
                    axum::serve(listener, router.into_make_service_with_connect_info::<SocketAddr>())
                        .with_graceful_shutdown(ending)
                        .await
                }
            }
        };
        let mut news = site.news.subscribe();
        let late = async {
            while !matches!(news.recv().await, Ok(News::End)) {}
            tokio::time::sleep(LAST).await;
        };
        tokio::select! {
            served = serving => served.map_err(NoSite::Listen)?,
            () = late => {}
        }
        if let Some(following) = following {
            let ended = tokio::task::spawn_blocking(|| following.end()).await;
            ended.map_err(|error| NoSite::File(error.to_string()))?;
        }
        println!("ended");
        Ok(())
    })
}

fn told(site: &Site) -> Started {
    let listen = site.config.listen;
    let host = if listen.ip().is_loopback() || listen.ip().is_unspecified() {
        "localhost".to_owned()
    } else {
        listen.ip().to_string()
    };
    let address = match &site.trust {
        Some(trust) => format!("https://{}:{}/", trust.name, listen.port()),
        None => format!("http://{host}:{}/", listen.port()),
    };
    let fingerprint = site.trust.as_ref().map(|trust| trust.fingerprint.clone());
    Started { address, code: site.code().clone(), fingerprint }
}

async fn bind(config: &Config) -> std::io::Result<TcpListener> {
    let mut address = config.listen;
    let last = if config.next_free { address.port().saturating_add(PORTS) } else { address.port() };
    loop {
        match TcpListener::bind(address).await {
            Err(error) if error.kind() == std::io::ErrorKind::AddrInUse && address.port() < last => {
                address.set_port(address.port() + 1);
            }
            bound => return bound,
        }
    }
}

/// Waits until the program is asked to end, and tells everybody who listens.
async fn ended(site: Arc<Site>) {
    #[cfg(unix)]
    {
        let term = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate());
        let Ok(mut term) = term else { return std::future::pending().await };
        tokio::select! {
            _ = tokio::signal::ctrl_c() => {}
            _ = term.recv() => {}
        }
    }
    #[cfg(not(unix))]
    let _ = tokio::signal::ctrl_c().await;
    let _ = site.news.send(News::End);
}

/// Connections that are shaken hands with beside each other, so that a slow one holds up no other.
struct Encrypted {
    ready: mpsc::Receiver<(TlsStream<TcpStream>, SocketAddr)>,
    address: std::io::Result<SocketAddr>,
}

impl Encrypted {
    fn new(listener: TcpListener, acceptor: TlsAcceptor) -> Self {
        let (tell, ready) = mpsc::channel(64);
        let address = listener.local_addr();
        tokio::spawn(async move {
            let mut listener = listener;
            loop {
                let (stream, from) = Listener::accept(&mut listener).await;
                let (acceptor, tell) = (acceptor.clone(), tell.clone());
                tokio::spawn(async move {
                    let _ = stream.set_nodelay(true);
                    if let Ok(Ok(stream)) = tokio::time::timeout(HANDSHAKE, acceptor.accept(stream)).await {
                        let _ = tell.send((stream, from)).await;
                    }
                });
            }
        });
        Self { ready, address }
    }
}

impl Listener for Encrypted {
    type Io = TlsStream<TcpStream>;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Self::Io, Self::Addr) {
        match self.ready.recv().await {
            Some(next) => next,
            None => std::future::pending().await,
        }
    }

    fn local_addr(&self) -> std::io::Result<Self::Addr> {
        match &self.address {
            Ok(address) => Ok(*address),
            Err(error) => Err(std::io::Error::from(error.kind())),
        }
    }
}
