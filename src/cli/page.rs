use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use clap::Args;

use crate::error::Result;
use crate::web::{PageOptions, Server};

use super::console::print;
use super::outcome::Outcome;
use super::regulated;

/// Serves until Ctrl-C; nothing leaves this machine.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest page\n  \
                        loopcrest page bench.toml --port 8601 --no-browser\n  \
                        loopcrest page bench.toml --logbook visits.db\n\n\
                        Ctrl-C ends it. Programs find /api/v1/openapi.json there.")]
pub(super) struct PageArgs {
    /// Description file with a [regulator]; the invented example when left out
    description: Option<PathBuf>,
    /// Port, or 0 for any that is free; 8600 when left out, or any that is free when that is taken
    #[arg(long)]
    port: Option<u16>,
    /// Only print the address
    #[arg(long)]
    no_browser: bool,
    /// Listen on this address of the machine instead of its own loopback; other machines then need the access
    /// token in the address printed
    #[arg(long, value_name = "ADDRESS")]
    listen: Option<IpAddr>,
    /// Certificate in PEM form: connections are encrypted
    #[cfg(feature = "tls")]
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// Its private key in PEM form
    #[cfg(feature = "tls")]
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
    /// Keep visits in this logbook; without one the page records nothing
    #[arg(long, value_name = "FILE")]
    logbook: Option<PathBuf>,
    /// Largest capture taken, in megabytes
    #[arg(long, value_name = "MEGABYTES", default_value_t = 64, value_parser = clap::value_parser!(u16).range(1..=1024))]
    largest_capture: u16,
}

pub(super) fn run(args: &PageArgs) -> Result<Outcome> {
    let description = regulated::description(args.description.as_deref())?;
    let mut options = PageOptions::new(description);
    options.is_example = args.description.is_none();
    options.port = args.port.unwrap_or(PageOptions::PORT);
    options.or_any_port = args.port.is_none();
    options.address = args.listen.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST));
    options.logbook.clone_from(&args.logbook);
    options.limits = options.limits.with_capture_megabytes(args.largest_capture);
    #[cfg(feature = "tls")]
    {
        let files = args.tls_cert.clone().zip(args.tls_key.clone());
        options.tls = files.map(|(certificate, key)| crate::web::TlsFiles { certificate, key });
    }
    let (address, wanted) = (options.address, options.port);
    let is_open = !address.is_loopback();
    let server = Server::bind(options)?;
    if wanted != 0 && server.port() != wanted {
        anstream::eprintln!(
            "note: port {wanted} is taken, perhaps by another page; this one answers at port {}. What a browser \
             keeps for the other port, such as entries that wait to be written, is not seen at this one: end the \
             other and begin again, or give each its --port.",
            server.port()
        );
    }
    if is_open {
        let unencrypted = if server.url().starts_with("https") {
            ""
        } else {
            ", and what is sent is not encrypted"
        };
        anstream::eprintln!(
            "warning: other machines can reach this page{unencrypted}; whoever has the address below can use it. \
             End it when you are done."
        );
    }
    let everywhere = if address.is_unspecified() {
        format!("On other machines put this machine's address in the place of {address}.\n")
    } else {
        String::new()
    };
    server.serve(|url| {
        print(&format!("{url}\n{everywhere}Ctrl-C ends it.\n"))?;
        if !args.no_browser {
            open(url);
        }
        Ok(())
    })?;
    Ok(Outcome::Done)
}

/// Opens the address in the browser of the desktop; where that fails the address stands on the screen.
fn open(url: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    let mut command = Command::new(program);
    command.args(before).arg(url);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    match command.spawn() {
        // Waited for on a thread of its own, so that it does not stay behind as a dead process.
        Ok(mut child) => {
            std::thread::spawn(move || child.wait());
        }
        Err(_) => {
            anstream::eprintln!("note: no browser could be opened; open the address yourself")
        }
    }
}
