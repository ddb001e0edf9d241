//! A bare actix handler that serves given bytes: what the machine can do with nothing to look up.

use std::net::SocketAddr;

use actix_web::{App, HttpResponse, HttpServer, rt, web};

/// Serves bytes on as many threads as the service, for as long as the bench runs.
pub(crate) fn serve(bytes: &str, workers: usize) -> SocketAddr {
    let bytes = web::Bytes::from(bytes.to_owned());
    let (told, address) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        rt::System::new().block_on(async move {
            let server = HttpServer::new(move || {
                let bytes = bytes.clone();
                App::new().default_service(web::to(move || {
                    let bytes = bytes.clone();
                    async move {
                        HttpResponse::Ok()
                            .content_type("application/json")
                            .body(bytes)
                    }
                }))
            })
            .workers(workers)
            .bind("127.0.0.1:0")
            .expect("a free port");
            told.send(server.addrs()[0]).expect("somebody waits");
            server.run().await.expect("it serves");
        });
    });
    address.recv().expect("the address")
}
