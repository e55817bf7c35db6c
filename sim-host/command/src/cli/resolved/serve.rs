//! `train` as meant, where it serves pages: where, to whom, and with what.

use crate::cli::args;
use crate::cli::failure::Failure;
use std::net::SocketAddr;
use std::path::PathBuf;
use twinplate_server::gate::{SHORTEST_TOKEN, is_token};

/// `train` as meant, where it serves pages.
#[derive(Clone, PartialEq, Eq)]
pub struct Serve {
    /// Address and port.
    pub address: SocketAddr,
    /// The token of the class that was given.
    pub token: Option<String>,
    /// The token of instructors that was given.
    pub instructor_token: Option<String>,
    /// Folder of the exercise files that was named.
    pub exercises: Option<PathBuf>,
    /// File of the records.
    pub records: PathBuf,
    /// Image of the board that the controllers run on.
    pub board: Option<PathBuf>,
}

impl Serve {
    /// From what was typed.
    ///
    /// # Errors
    /// No token where others are let in, a short one there, one with characters that an address cannot carry, or one for all.
    pub fn new(typed: args::Train) -> Result<Self, Failure> {
        let far = !typed.address.is_loopback();
        for (option, given, needed) in [
            ("--token", &typed.token, far),
            ("--instructor-token", &typed.instructor_token, false),
        ] {
            let cure = format!("give {option} with 16 to 128 letters, digits, or any of - _ . ~");
            if given.as_ref().is_some_and(|token| !is_token(token)) {
                let what = "the token has characters that an address cannot carry as they are, or is empty or too long";
                return Err(Failure::new(what, cure));
            }
            let short = |token: &String| far && token.len() < SHORTEST_TOKEN;
            if given.as_ref().map_or(needed, short) {
                let what = format!(
                    "on {} others than you can reach the server, and it needs a token of at least {SHORTEST_TOKEN} characters",
                    typed.address
                );
                return Err(Failure::new(what, cure));
            }
        }
        if typed.token.is_some() && typed.token == typed.instructor_token {
            return Err(Failure::new(
                "the class has the same token as its instructors: everybody would be one",
                "give another --instructor-token, or none: one is made then",
            ));
        }
        Ok(Self {
            address: SocketAddr::new(typed.address, typed.port),
            token: typed.token,
            instructor_token: typed.instructor_token,
            exercises: typed.exercises,
            records: typed.records,
            board: typed.on_board,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::args::Format;

    #[test]
    fn whoever_lets_others_in_needs_a_token() {
        let both = |address: &str, token: Option<&str>, instructor: Option<&str>| {
            Serve::new(args::Train {
                script: args::TrainScript {
                    headless: None,
                    rescore: None,
                    attempt: None,
                    format: Format::Text,
                },
                port: 0,
                address: address.parse().expect("an address"),
                token: token.map(str::to_owned),
                instructor_token: instructor.map(str::to_owned),
                exercises: None,
                records: PathBuf::new(),
                on_board: None,
            })
            .map(|_| ())
            .map_err(|failure| failure.text(false))
        };
        let serve = |address: &str, token: Option<&str>| both(address, token, None);
        assert_eq!(serve("127.0.0.1", None), Ok(()));
        assert_eq!(serve("::1", None), Ok(()));
        assert_eq!(serve("127.0.0.1", Some("short")), Ok(()));
        assert_eq!(serve("192.0.2.7", Some("0123456789abcdef")), Ok(()));
        for (address, token) in [
            ("192.0.2.7", None),
            ("0.0.0.0", None),
            ("::", Some("0123456789abcde")),
            ("192.0.2.7", Some("0123456789 abcdef")),
            ("127.0.0.1", Some("a&b")),
            ("127.0.0.1", Some("")),
        ] {
            let error = serve(address, token).expect_err("is refused");
            assert!(error.contains("--token"), "{error}");
            assert!(token.is_none_or(|token| token.is_empty() || !error.contains(token)));
        }
        let class = Some("0123456789abcdef");
        let with = |instructor| both("192.0.2.7", class, Some(instructor));
        assert_eq!(with("fedcba9876543210"), Ok(()));
        for (instructor, told) in [
            ("short", "--instructor-token"),
            ("fedcba 9876543210", "--instructor-token"),
            ("0123456789abcdef", "everybody would be one"),
        ] {
            let error = with(instructor).expect_err("is refused");
            assert!(error.contains(told), "{error}");
        }
    }
}
