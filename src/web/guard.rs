use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::uri::Authority;
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::access_token::AccessToken;
use super::problem::Problem;
use super::query;
use super::shared::Shared;

/// Who is let in.
#[derive(Debug)]
pub(super) struct Guard {
    address: SocketAddr,
    scheme: &'static str,
    token: Option<AccessToken>,
}

impl Guard {
    pub(super) fn new(
        address: SocketAddr,
        scheme: &'static str,
        token: Option<AccessToken>,
    ) -> Self {
        Self { address, scheme, token }
    }

    /// Cookies know no port: its name carries it, so that two servers do not take each other's away.
    fn cookie_name(&self) -> String {
        format!("loopcrest-{}", self.address.port())
    }

    /// Whether a name and port are this server's own. A page of another site that resolves its own name to this
    /// machine still sends that name.
    fn is_own(&self, text: &str) -> bool {
        let Ok(authority) = text.parse::<Authority>() else { return false };
        if authority.as_str().contains('@') {
            return false;
        }
        let default = if self.scheme == "https" { 443 } else { 80 };
        if authority.port_u16().unwrap_or(default) != self.address.port() {
            return false;
        }
        let host = authority.host();
        let literal = host.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>();
        match literal {
            Ok(host) if host.is_loopback() => true,
            // Listening everywhere it has many addresses; an address, unlike a name, cannot be made to point here.
            Ok(host) => host == self.address.ip() || self.address.ip().is_unspecified(),
            Err(_) => host.eq_ignore_ascii_case("localhost"),
        }
    }

    fn check_host(&self, request: &Request) -> Result<(), Problem> {
        let other = || {
            Problem::new("misdirected", "the request is addressed to another name or port")
                .with_field("Host")
        };
        let mut hosts = request.headers().get_all(header::HOST).iter();
        let host = match (hosts.next(), hosts.next()) {
            (Some(host), None) => host.to_str().map_err(|_| other())?,
            _ => return Err(other()),
        };
        let target = request.uri().authority().map(Authority::as_str);
        let all_own = self.is_own(host) && target.is_none_or(|target| self.is_own(target));
        if all_own { Ok(()) } else { Err(other()) }
    }

    /// Refuses what another site's page asks for.
    fn check_site(&self, headers: &HeaderMap) -> Result<(), Problem> {
        let foreign = |field: &str| {
            Problem::new("forbidden", "the request comes from another site's page")
                .with_field(field)
        };
        for site in headers.get_all("sec-fetch-site") {
            if !matches!(site.as_bytes(), b"same-origin" | b"none") {
                return Err(foreign("Sec-Fetch-Site"));
            }
        }
        for origin in headers.get_all(header::ORIGIN) {
            let own = origin.to_str().ok().and_then(|origin| origin.strip_prefix(self.scheme));
            let own = own.and_then(|rest| rest.strip_prefix("://"));
            if !own.is_some_and(|authority| self.is_own(authority)) {
                return Err(foreign("Origin"));
            }
        }
        Ok(())
    }

    /// Whether the request shows the token, as a cookie or as a header.
    fn shows_token(&self, token: &AccessToken, headers: &HeaderMap) -> bool {
        let name = self.cookie_name();
        let cookies =
            headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let mut pairs = cookies.flat_map(|text| text.split(';')).filter_map(|pair| {
            let (key, value) = pair.trim().split_once('=')?;
            (key == name).then_some(value)
        });
        if pairs.any(|value| token.is(value)) {
            return true;
        }
        let bearer = headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok());
        bearer.and_then(|text| text.strip_prefix("Bearer ")).is_some_and(|text| token.is(text))
    }

    /// Takes the token out of the address into a cookie.
    fn let_in(&self, token: &AccessToken, request: &Request) -> Option<Response> {
        let pairs = query::pairs(request.uri()).ok()?;
        let is_shown = pairs.iter().any(|(key, value)| key == "token" && token.is(value));
        if request.method() != Method::GET || request.uri().path() != "/" || !is_shown {
            return None;
        }
        let secure = if self.scheme == "https" { "; Secure" } else { "" };
        let cookie = format!(
            "{}={}; HttpOnly; SameSite=Strict; Path=/{secure}",
            self.cookie_name(),
            token.text()
        );
        let cookie = HeaderValue::from_str(&cookie).ok()?;
        // No redirect: followed from a link elsewhere, it would still count as that site's and come without the
        // cookie. A page of our own that moves on by itself does not.
        let page = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>loopcrest</title>\
                    <meta http-equiv=\"refresh\" content=\"0; url=/\"><a href=\"/\">Go on</a></html>";
        let kind = HeaderValue::from_static("text/html; charset=utf-8");
        Some(([(header::SET_COOKIE, cookie), (header::CONTENT_TYPE, kind)], page).into_response())
    }

    fn check(&self, request: &Request) -> Result<Option<Response>, Problem> {
        self.check_host(request)?;
        let is_read = matches!(*request.method(), Method::GET | Method::HEAD);
        if !is_read || request.uri().path().starts_with("/api/") {
            self.check_site(request.headers())?;
        }
        if let Some(token) = &self.token
            && !self.shows_token(token, request.headers())
        {
            return self.let_in(token, request).map(Some).ok_or_else(|| {
                Problem::new("unauthorised", "this server asks for its access token")
                    .with_hint("open the address that was shown when the server started")
            });
        }
        Ok(None)
    }
}

/// Lets a request in, or answers it.
pub(super) async fn guarded(
    State(shared): State<Arc<Shared>>,
    request: Request,
    next: Next,
) -> Response {
    match shared.guard.check(&request) {
        Ok(None) => next.run(request).await,
        Ok(Some(response)) => response,
        Err(problem) => problem.into_response(),
    }
}
