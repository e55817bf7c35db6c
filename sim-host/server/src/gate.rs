//! Who may ask the server anything: host, origin, token. Pure; the middleware that applies it is in [`mod@super::app`].
//!
//! A browser sends any page's requests to a server on its own computer. Three things keep such pages out: the host must be ours,
//! which stops names that were made to point here; whatever acts must come from one of our own pages, by its origin; and whatever
//! acts or shows records carries a token that only our pages know.

use axum::http::header::{HOST, ORIGIN};
use axum::http::uri::Authority;
use axum::http::{HeaderMap, HeaderName, Uri};
use std::net::{IpAddr, SocketAddr};

/// Header that carries the token.
pub const TOKEN_HEADER: HeaderName = HeaderName::from_static("x-twinplate-token");
/// Shortest token on another address than loopback.
pub const SHORTEST_TOKEN: usize = 16;
/// Longest token.
pub const LONGEST_TOKEN: usize = 128;
/// Port of HTTP where none is named.
const HTTP: u16 = 80;

/// Why a request is not heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shut {
    /// Not exactly one host, or none that can be read.
    NoHost,
    /// A host that is not ours.
    OtherHost,
    /// Not exactly one origin, or another than ours.
    OtherOrigin,
    /// No token, or a wrong one.
    NoToken,
    /// The token of the class, for what is an instructor's.
    NotInstructor,
}

/// Who asks, by the token that was shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    /// Everybody in the class.
    Operator,
    /// Who sees the records, makes faults and takes a machine back in time. May do what operators may, too.
    Instructor,
}

/// What the server listens on, and its tokens.
#[derive(Clone)]
pub struct Gate {
    bound: SocketAddr,
    /// Of the class, and of its instructors.
    tokens: [String; 2],
}

impl std::fmt::Debug for Gate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The token is for nobody's log.
        write!(f, "Gate({})", self.bound)
    }
}

/// Whether a text can be a token: of characters that need no escape in an address or a page.
#[must_use]
pub fn is_token(text: &str) -> bool {
    (1..=LONGEST_TOKEN).contains(&text.len())
        && text
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || b"-_.~".contains(&byte))
}

impl Gate {
    /// For a server that listens on `bound`. The tokens, of the class and of its instructors, are some by [`is_token`].
    #[must_use]
    pub const fn new(bound: SocketAddr, tokens: [String; 2]) -> Self {
        Self { bound, tokens }
    }

    /// Address and port.
    #[must_use]
    pub const fn bound(&self) -> SocketAddr {
        self.bound
    }

    /// Heard by this computer alone.
    #[must_use]
    pub const fn is_loopback(&self) -> bool {
        self.bound.ip().is_loopback()
    }

    /// For somebody's pages.
    #[must_use]
    pub fn token(&self, who: Who) -> &str {
        let [class, instructors] = &self.tokens;
        match who {
            Who::Operator => class,
            Who::Instructor => instructors,
        }
    }

    /// The host of a request is ours.
    ///
    /// # Errors
    /// [`Shut::NoHost`], [`Shut::OtherHost`].
    pub fn host(&self, headers: &HeaderMap, uri: &Uri) -> Result<(), Shut> {
        let host = authority(headers)?;
        if let Some(named) = uri.authority()
            && named.as_str() != host.as_str()
        {
            return Err(Shut::OtherHost);
        }
        if host.as_str().contains('@') || host.port_u16().unwrap_or(HTTP) != self.bound.port() {
            return Err(Shut::OtherHost);
        }
        if self.is_ours(host.host()) {
            Ok(())
        } else {
            Err(Shut::OtherHost)
        }
    }

    fn is_ours(&self, name: &str) -> bool {
        let bare = name
            .strip_prefix('[')
            .and_then(|rest| rest.strip_suffix(']'))
            .unwrap_or(name);
        match bare.parse::<IpAddr>() {
            Ok(ip) if self.is_loopback() => ip.is_loopback(),
            // Every address of this computer; a name could have been made to point at one of them, a number cannot.
            Ok(_) if self.bound.ip().is_unspecified() => true,
            Ok(ip) => ip == self.bound.ip(),
            Err(_) => {
                name.eq_ignore_ascii_case("localhost")
                    && (self.is_loopback() || self.bound.ip().is_unspecified())
            }
        }
    }

    /// The request comes from a page of ours.
    ///
    /// # Errors
    /// [`Shut::NoHost`], [`Shut::OtherOrigin`].
    pub fn origin(&self, headers: &HeaderMap) -> Result<(), Shut> {
        let host = authority(headers)?;
        let mut origins = headers.get_all(ORIGIN).iter();
        match (origins.next(), origins.next()) {
            (Some(origin), None)
                if origin
                    .to_str()
                    .is_ok_and(|origin| origin.strip_prefix("http://") == Some(host.as_str())) =>
            {
                Ok(())
            }
            _ => Err(Shut::OtherOrigin),
        }
    }

    /// Whose token a header carries.
    ///
    /// # Errors
    /// [`Shut::NoToken`].
    pub(crate) fn token_header(&self, headers: &HeaderMap) -> Result<Who, Shut> {
        let mut tokens = headers.get_all(&TOKEN_HEADER).iter();
        match (tokens.next(), tokens.next()) {
            (Some(token), None) => self.check(token.as_bytes()),
            _ => Err(Shut::NoToken),
        }
    }

    /// Whose token this is. Takes as long for a wrong one as for a right one.
    ///
    /// # Errors
    /// [`Shut::NoToken`].
    pub fn check(&self, token: &[u8]) -> Result<Who, Shut> {
        let [class, instructors] = &self.tokens;
        match (same(instructors, token), same(class, token)) {
            (true, _) => Ok(Who::Instructor),
            (false, true) => Ok(Who::Operator),
            (false, false) => Err(Shut::NoToken),
        }
    }

    /// A page for `who` may be served: on loopback always, elsewhere with a token for it in the address.
    ///
    /// # Errors
    /// [`Shut::NoToken`], [`Shut::NotInstructor`].
    pub fn page(&self, uri: &Uri, who: Who) -> Result<(), Shut> {
        if self.is_loopback() {
            return Ok(());
        }
        let mut tokens = uri
            .query()
            .unwrap_or_default()
            .split('&')
            .filter_map(|pair| pair.strip_prefix("token="));
        // No character of a token is ever escaped.
        match (tokens.next(), tokens.next()) {
            (Some(token), None) => self.check(token.as_bytes())?.may(who),
            _ => Err(Shut::NoToken),
        }
    }
}

impl Who {
    /// May do what is `asked`'s.
    ///
    /// # Errors
    /// [`Shut::NotInstructor`].
    pub fn may(self, asked: Self) -> Result<(), Shut> {
        if self >= asked {
            Ok(())
        } else {
            Err(Shut::NotInstructor)
        }
    }
}

/// Two tokens are the same. Takes as long whether they are or not.
fn same(ours: &str, theirs: &[u8]) -> bool {
    let ours = ours.as_bytes();
    let differing =
        ours.iter()
            .enumerate()
            .fold(ours.len() ^ theirs.len(), |differing, (at, byte)| {
                differing | usize::from(byte ^ theirs.get(at).copied().unwrap_or(0))
            });
    std::hint::black_box(differing) == 0
}

/// The one host that a request names.
fn authority(headers: &HeaderMap) -> Result<Authority, Shut> {
    let mut hosts = headers.get_all(HOST).iter();
    match (hosts.next(), hosts.next()) {
        (Some(host), None) => Authority::try_from(host.as_bytes()).map_err(|_| Shut::NoHost),
        _ => Err(Shut::NoHost),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn gate(bound: &str) -> Gate {
        Gate::new(
            bound.parse().expect("address"),
            [
                "secret-of-16-or-more".into(),
                "another-of-16-or-more".into(),
            ],
        )
    }

    fn headers(pairs: &[(HeaderName, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(name, HeaderValue::from_str(value).expect("value"));
        }
        headers
    }

    fn host(gate: &Gate, host: &str) -> Result<(), Shut> {
        gate.host(&headers(&[(HOST, host)]), &Uri::from_static("/"))
    }

    #[test]
    fn on_loopback_only_names_of_this_computer_are_heard() {
        let gate = gate("127.0.0.1:8080");
        for ours in [
            "127.0.0.1:8080",
            "localhost:8080",
            "LocalHost:8080",
            "[::1]:8080",
        ] {
            assert_eq!(host(&gate, ours), Ok(()), "{ours}");
        }
        for other in [
            "example.invalid:8080",
            "localhost.example.invalid:8080",
            "localhost",
            "localhost:80",
            "127.0.0.1:8081",
            "192.0.2.1:8080",
            "user@localhost:8080",
            "127.0.0.1.example.invalid:8080",
        ] {
            assert_eq!(host(&gate, other), Err(Shut::OtherHost), "{other}");
        }
        for none in ["", "a b", "localhost:8080/x"] {
            assert_eq!(host(&gate, none), Err(Shut::NoHost), "{none}");
        }
    }

    #[test]
    fn elsewhere_it_is_the_address_that_is_listened_on() {
        let one = gate("192.0.2.7:80");
        assert_eq!(host(&one, "192.0.2.7"), Ok(()));
        assert_eq!(host(&one, "192.0.2.7:80"), Ok(()));
        assert_eq!(host(&one, "192.0.2.8"), Err(Shut::OtherHost));
        assert_eq!(host(&one, "localhost"), Err(Shut::OtherHost));
        let every = gate("0.0.0.0:8080");
        assert_eq!(host(&every, "192.0.2.8:8080"), Ok(()));
        assert_eq!(
            host(&every, "lab.example.invalid:8080"),
            Err(Shut::OtherHost)
        );
    }

    #[test]
    fn a_request_names_one_host_once() {
        let gate = gate("127.0.0.1:8080");
        let root = Uri::from_static("/");
        assert_eq!(gate.host(&HeaderMap::new(), &root), Err(Shut::NoHost));
        let twice = headers(&[(HOST, "localhost:8080"), (HOST, "localhost:8080")]);
        assert_eq!(gate.host(&twice, &root), Err(Shut::NoHost));
        let other = Uri::from_static("http://example.invalid/");
        let once = headers(&[(HOST, "localhost:8080")]);
        assert_eq!(gate.host(&once, &other), Err(Shut::OtherHost));
    }

    #[test]
    fn an_origin_is_ours_alone() {
        let gate = gate("127.0.0.1:8080");
        let with = |origins: &[&str]| {
            let mut all = vec![(HOST, "localhost:8080")];
            all.extend(origins.iter().map(|origin| (ORIGIN, *origin)));
            gate.origin(&headers(&all))
        };
        assert_eq!(with(&["http://localhost:8080"]), Ok(()));
        for wrong in [
            &[][..],
            &["null"],
            &["https://localhost:8080"],
            &["http://127.0.0.1:8080"],
            &["http://localhost:8081"],
            &["http://example.invalid"],
            &["http://localhost:8080.example.invalid"],
            &["http://localhost:8080", "http://example.invalid"],
        ] {
            assert_eq!(with(wrong), Err(Shut::OtherOrigin), "{wrong:?}");
        }
    }

    #[test]
    fn a_token_is_somebodys_or_wrong() {
        let gate = gate("192.0.2.7:80");
        let with = |token: &str| gate.token_header(&headers(&[(TOKEN_HEADER, token)]));
        assert_eq!(with("secret-of-16-or-more"), Ok(Who::Operator));
        assert_eq!(with("another-of-16-or-more"), Ok(Who::Instructor));
        for wrong in [
            "",
            "secret-of-16-or-mora",
            "secret-of-16-or-mor",
            "secret-of-16-or-moree",
            "another-of-16-or-mor",
        ] {
            assert_eq!(with(wrong), Err(Shut::NoToken), "{wrong}");
        }
        assert_eq!(gate.token_header(&HeaderMap::new()), Err(Shut::NoToken));
    }

    #[test]
    fn elsewhere_a_page_is_served_to_whom_it_is_for() {
        let far = gate("192.0.2.7:80");
        let page = |uri: &'static str, who| far.page(&Uri::from_static(uri), who);
        for (uri, operator, instructor) in [
            (
                "/?token=secret-of-16-or-more",
                Ok(()),
                Err(Shut::NotInstructor),
            ),
            (
                "/?a=b&token=secret-of-16-or-more",
                Ok(()),
                Err(Shut::NotInstructor),
            ),
            ("/?token=another-of-16-or-more", Ok(()), Ok(())),
            ("/", Err(Shut::NoToken), Err(Shut::NoToken)),
            ("/?token=", Err(Shut::NoToken), Err(Shut::NoToken)),
            ("/?token=x", Err(Shut::NoToken), Err(Shut::NoToken)),
            (
                "/?token=x&token=another-of-16-or-more",
                Err(Shut::NoToken),
                Err(Shut::NoToken),
            ),
        ] {
            assert_eq!(page(uri, Who::Operator), operator, "{uri}");
            assert_eq!(page(uri, Who::Instructor), instructor, "{uri}");
        }
        let near = gate("127.0.0.1:80");
        assert_eq!(near.page(&Uri::from_static("/"), Who::Instructor), Ok(()));
    }

    #[test]
    fn a_token_needs_no_escape() {
        assert!(is_token("Abc-123_.~"));
        for wrong in ["", "a b", "a&b", "a\"b", "ä", "a<b", "a%20"] {
            assert!(!is_token(wrong), "{wrong}");
        }
        assert!(!is_token(&"a".repeat(LONGEST_TOKEN + 1)));
    }
}
