//! Ctrl-C ends a search early and keeps what it has found.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use actix_web::rt::{self, signal};

/// Listens for Ctrl-C. The first sets the flag that is returned; the second ends the program.
pub(crate) fn listen() -> Arc<AtomicBool> {
    let pressed = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&pressed);
    std::thread::spawn(move || {
        rt::System::new().block_on(async move {
            while signal::ctrl_c().await.is_ok() {
                if flag.swap(true, Ordering::Relaxed) {
                    std::process::exit(130);
                }
                eprintln!("\nstopping; the best plan so far follows (Ctrl-C again to leave at once)");
            }
        });
    });
    pressed
}
