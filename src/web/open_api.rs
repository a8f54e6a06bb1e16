use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

use crate::report::Document;

use super::choices::Choices;
use super::client_queue::ClientQueue;
use super::endpoint::{Endpoint, endpoints};
use super::estimates::EstimateStatus;
use super::problem::Problem;
use super::visits::{EntryAnswer, EntrySent, NextPart, OpeningSent};

/// Kinds of problem that any request may be answered with.
const ALWAYS: [&str; 7] =
    ["bad-request", "unauthorised", "forbidden", "misdirected", "busy", "stopping", "internal"];

/// The OpenAPI 3.1 document, made of the same list as the router.
pub(super) fn document() -> Value {
    let mut paths: Map<String, Value> = Map::new();
    for endpoint in endpoints() {
        let path = paths.entry(endpoint.path).or_insert_with(|| json!({}));
        path[endpoint.method.to_ascii_lowercase()] = operation(&endpoint);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "loopcrest",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "What each kind of meter shows on the distorted current of an airfield-lighting \
                            series circuit, and whether it may set a brightness step. A result never replaces \
                            local codes, the maker's manual or licensed practice.",
        },
        "paths": paths,
        "components": { "schemas": schemas() },
    })
}

fn operation(endpoint: &Endpoint) -> Value {
    let mut operation = json!({
        "summary": endpoint.summary,
        "operationId": operation_id(endpoint),
        "parameters": parameters(endpoint),
        "responses": responses(endpoint),
    });
    if !endpoint.takes.is_empty() {
        let content: Map<String, Value> = endpoint
            .takes
            .iter()
            .map(|kind| ((*kind).to_owned(), json!({ "schema": body_schema(endpoint, kind) })))
            .collect();
        operation["requestBody"] = json!({ "required": endpoint.needs_body, "content": content });
    }
    operation
}

fn operation_id(endpoint: &Endpoint) -> String {
    let method = endpoint.method.to_ascii_lowercase();
    let path = endpoint.path.trim_start_matches("/api/v1/");
    let word = |letter: char| if letter.is_ascii_alphanumeric() { letter } else { '_' };
    format!("{method}_{}", path.chars().map(word).collect::<String>())
}

fn body_schema(endpoint: &Endpoint, kind: &str) -> Value {
    if let Some(name) = endpoint.body {
        return json!({ "$ref": format!("#/components/schemas/{name}") });
    }
    match kind {
        "application/json" => json!({
            "type": "object",
            "properties": {
                "description": { "type": "string", "description": "text of a description" },
                "sheet": { "type": "string", "description": "text with one [[meter]]" },
            },
            "additionalProperties": false,
        }),
        _ => json!({ "type": "string" }),
    }
}

fn parameters(endpoint: &Endpoint) -> Vec<Value> {
    let in_path = endpoint.in_path.iter().map(|(name, allowed, example)| {
        json!({
            "name": name, "in": "path", "required": true, "description": allowed,
            "schema": { "type": "string", "minLength": 1 }, "example": example,
        })
    });
    let in_query = endpoint.query.iter().map(|(name, allowed, example)| {
        json!({
            "name": name, "in": "query", "required": false, "description": allowed,
            "schema": { "type": "string" }, "example": example,
        })
    });
    let numbered = endpoint.problems.contains(&"overtaken").then(|| {
        [
            json!({
                "name": ClientQueue::CLIENT, "in": "header", "required": false,
                "description": "the client's name for itself, with the number of the request",
                "schema": { "type": "string", "pattern": "^[A-Za-z0-9-]{1,64}$" },
            }),
            json!({
                "name": ClientQueue::SEQUENCE, "in": "header", "required": false,
                "description": "number of the request, rising: an older one that still waits is given up",
                "schema": { "type": "integer", "minimum": 0 },
            }),
        ]
    });
    let named = endpoint.is_named.then(|| {
        json!({
            "name": "idempotency-key", "in": "header", "required": true,
            "description": "a name the client made for this entry: sent again, it is written once",
            "schema": { "type": "string", "pattern": "^[A-Za-z0-9-]{8,64}$" },
        })
    });
    in_path.chain(in_query).chain(named).chain(numbered.into_iter().flatten()).collect()
}

fn responses(endpoint: &Endpoint) -> Value {
    let mut responses: Map<String, Value> = Map::new();
    let mut success = json!({ "description": "done" });
    if !endpoint.gives.is_empty() {
        let kind = endpoint.gives.split(';').next().unwrap_or_default();
        let schema = match endpoint.schema {
            Some(name) => json!({ "$ref": format!("#/components/schemas/{name}") }),
            None if kind == "application/json" => json!({}),
            None => json!({ "type": "string" }),
        };
        let content: Map<String, Value> =
            [(kind.to_owned(), json!({ "schema": schema }))].into_iter().collect();
        success["content"] = Value::Object(content);
    }
    responses.insert(endpoint.status.to_string(), success);
    let kinds: BTreeSet<&str> = ALWAYS.iter().chain(endpoint.problems).copied().collect();
    let mut by_status: BTreeMap<u16, Vec<&str>> = BTreeMap::new();
    for (key, status, title, _) in Problem::KINDS {
        if kinds.contains(key) {
            by_status.entry(status).or_default().push(title);
        }
    }
    for (status, titles) in by_status {
        let answer = json!({
            "description": titles.join("; or "),
            "content": {
                (Problem::MEDIA_TYPE): { "schema": { "$ref": "#/components/schemas/Problem" } }
            },
        });
        responses.insert(status.to_string(), answer);
    }
    Value::Object(responses)
}

/// Every schema by its name.
fn schemas() -> Value {
    let mut all = Map::new();
    let mut add = |name: &str, schema: Value| {
        let Value::Object(mut schema) = moved(schema) else { return };
        schema.remove("$schema");
        if let Some(Value::Object(parts)) = schema.remove("$defs") {
            all.extend(parts);
        }
        all.insert(name.to_owned(), Value::Object(schema));
    };
    add("Document", Document::schema());
    add("Problem", schemars::schema_for!(Problem).to_value());
    add("Choices", schemars::schema_for!(Choices).to_value());
    add("EstimateStatus", schemars::schema_for!(EstimateStatus).to_value());
    add("OpeningSent", schemars::schema_for!(OpeningSent).to_value());
    add("EntrySent", schemars::schema_for!(EntrySent).to_value());
    add("EntryAnswer", schemars::schema_for!(EntryAnswer).to_value());
    add("NextPart", schemars::schema_for!(NextPart).to_value());
    let one = |name: &str| json!({ "$ref": format!("#/components/schemas/{name}") });
    add("EstimateAnswer", json!({ "anyOf": [one("Document"), one("EstimateStatus")] }));
    Value::Object(all)
}

/// The same schema with its references where the document has them.
fn moved(schema: Value) -> Value {
    match schema {
        Value::Object(members) => Value::Object(
            members
                .into_iter()
                .map(|(key, value)| match value {
                    Value::String(text) if key == "$ref" => {
                        (key, Value::String(text.replace("#/$defs/", "#/components/schemas/")))
                    }
                    other => (key, moved(other)),
                })
                .collect(),
        ),
        Value::Array(items) => Value::Array(items.into_iter().map(moved).collect()),
        other => other,
    }
}
