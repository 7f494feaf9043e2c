//! The cable between a tablet and the program, which can be cut: then nothing goes through and nothing is refused, as
//! behind the door of a cold room.

use std::io::{Read, Write as _};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU16, Ordering};
use std::time::Duration;

/// A forwarding address in front of the program.
#[derive(Debug, Clone)]
pub struct Wire {
    port: u16,
    to: Arc<AtomicU16>,
    is_cut: Arc<AtomicBool>,
}

impl Wire {
    /// A whole cable to a port of this machine.
    pub fn to(port: u16) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).expect("a free port");
        let wire = Self {
            port: listener.local_addr().expect("its address").port(),
            to: Arc::new(AtomicU16::new(port)),
            is_cut: Arc::new(AtomicBool::new(false)),
        };
        let here = wire.clone();
        std::thread::spawn(move || {
            for incoming in listener.incoming().flatten() {
                let here = here.clone();
                std::thread::spawn(move || here.carry(incoming));
            }
        });
        wire
    }

    /// The address that a browser opens.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Nothing goes through any more.
    pub fn cut(&self) {
        self.is_cut.store(true, Ordering::SeqCst);
    }

    /// Everything goes through again; what was under way is lost.
    pub fn mend(&self) {
        self.is_cut.store(false, Ordering::SeqCst);
    }

    /// The program is to be found elsewhere from now on.
    pub fn lead_to(&self, port: u16) {
        self.to.store(port, Ordering::SeqCst);
    }

    fn is_cut(&self) -> bool {
        self.is_cut.load(Ordering::SeqCst)
    }

    fn carry(&self, tablet: TcpStream) {
        // As long as it is cut, a connection hangs; then it is reset, as a router does with what it does not know.
        if self.is_cut() {
            while self.is_cut() {
                std::thread::sleep(Duration::from_millis(50));
            }
            return;
        }
        let Ok(program) = TcpStream::connect(("127.0.0.1", self.to.load(Ordering::SeqCst))) else { return };
        let (Ok(from_tablet), Ok(from_program)) = (tablet.try_clone(), program.try_clone()) else { return };
        let there = self.clone();
        let thread = std::thread::spawn(move || there.pump(from_tablet, program));
        self.pump(from_program, tablet);
        thread.join().ok();
    }

    fn pump(&self, mut from: TcpStream, mut to: TcpStream) {
        from.set_read_timeout(Some(Duration::from_millis(50))).ok();
        let mut was_cut = false;
        let mut bytes = [0; 16 * 1024];
        loop {
            if self.is_cut() {
                was_cut = true;
                std::thread::sleep(Duration::from_millis(50));
                continue;
            }
            if was_cut {
                break;
            }
            match from.read(&mut bytes) {
                Ok(0) => break,
                Ok(count) if to.write_all(&bytes[..count]).is_err() => break,
                Ok(_) => {}
                Err(error)
                    if matches!(
                        error.kind(),
                        std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut
                    ) => {}
                Err(_) => break,
            }
        }
        from.shutdown(Shutdown::Both).ok();
        to.shutdown(Shutdown::Both).ok();
    }
}
