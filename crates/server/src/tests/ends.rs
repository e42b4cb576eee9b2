//! How a session ends.

use super::client::Client;
use super::fixtures::SITE;
use crate::Options;
use serde_json::{Value, json};

#[test]
fn exit_after_shutdown_is_0() {
    assert_eq!(Client::on(&[]).end(), 0);
}

/// The input stays open: the test holds it until the server has ended.
#[test]
fn exit_without_shutdown_is_1_and_does_not_wait_for_the_input() {
    assert_eq!(Client::on(&[]).exit(), 1);
    assert_eq!(Client::unbegun(&[], Options::default()).exit(), 1, "before `initialize`");
}

#[test]
fn a_client_that_hangs_up_ends_the_server() {
    let mut client = Client::on(&[]);
    client.open("a.site", 1, SITE);
    assert_eq!(client.hang_up(), 1);
    let mut client = Client::on(&[]);
    client.request("shutdown", Value::Null);
    assert_eq!(client.hang_up(), 0);
}

#[test]
fn after_shutdown_nothing_more_is_answered() {
    let mut client = Client::on(&[]);
    client.request("shutdown", Value::Null);
    let document = client.document("a.site");
    let id = client.ask(
        "textDocument/hover",
        json!({ "textDocument": document, "position": { "line": 0, "character": 0 } }),
    );
    // InvalidRequest of LSP 3.17, "Shutdown Request".
    assert_eq!(client.answer(id)["error"]["code"], -32600);
    client.open("a.site", 1, SITE);
    assert_eq!(client.exit(), 0);
}

/// The client closes only the end on which it listens: nothing more can be told, so the server ends.
#[test]
fn a_client_that_does_not_listen_any_more_ends_the_server() {
    let (from_client, mut input) = std::io::pipe().unwrap();
    let (from_server, output) = std::io::pipe().unwrap();
    drop(from_server);
    let options = Options { cache: None, ..Options::default() };
    let server = std::thread::spawn(move || crate::serve(from_client, output, &options).unwrap());
    crate::frame::write(&mut input, b"{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"x\"}").unwrap();
    assert_eq!(server.join().unwrap(), 1);
}
