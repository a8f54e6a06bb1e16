//! The layers of lib.rs, held by reading the source.

use std::path::{Path, PathBuf};

fn source_files(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            source_files(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push(path);
        }
    }
}

/// The layers in the order of their declaration.
fn layers(lib: &str) -> Vec<String> {
    lib.lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect()
}

/// Every layer named in a `crate::` path, also in braces: `use crate::{a, b::c}`.
fn imports(source: &str) -> Vec<String> {
    let code: Vec<&str> =
        source.lines().map(|line| line.split("//").next().unwrap_or_default()).collect();
    let code = code.join("\n");
    let mut found = Vec::new();
    for (at, _) in code.match_indices("crate::") {
        let rest = &code[at + "crate::".len()..];
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 0;
            let mut item = String::new();
            for c in group.chars() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => found.push(std::mem::take(&mut item)),
                    _ if depth == 0 => item.push(c),
                    _ => {}
                }
            }
            found.push(item);
        } else {
            found.push(rest.to_owned());
        }
    }
    found
        .iter()
        .map(|path| path.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect())
        .filter(|name: &String| !name.is_empty())
        .collect()
}

#[test]
fn law_layers_import_only_downwards() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let layers = layers(&std::fs::read_to_string(source.join("lib.rs")).unwrap());
    assert!(layers.len() >= 10, "the layers of lib.rs were not found: {layers:?}");
    let mut files = Vec::new();
    source_files(&source, &mut files);
    let mut checked = 0;
    for file in files {
        let relative = file.strip_prefix(&source).unwrap();
        let first = relative.components().next().unwrap().as_os_str().to_string_lossy();
        let own = first.trim_end_matches(".rs");
        let Some(rank) = layers.iter().position(|layer| layer == own) else {
            assert!(matches!(own, "lib" | "main"), "{} belongs to no layer", relative.display());
            continue;
        };
        for import in imports(&std::fs::read_to_string(&file).unwrap()) {
            let Some(other) = layers.iter().position(|layer| *layer == import) else {
                panic!("{}: crate::{import} is no layer", relative.display());
            };
            assert!(
                other <= rank,
                "{}: `{own}` imports `{import}`, which is declared above it in nothing: lib.rs \
                 declares it later",
                relative.display()
            );
            checked += 1;
        }
    }
    assert!(checked > 30, "only {checked} imports were seen");
}

/// The check itself can fail: it sees an upward import, in braces too.
#[test]
fn law_the_layer_check_sees_imports() {
    assert_eq!(imports("use crate::cli::run;"), ["cli"]);
    assert_eq!(
        imports("use crate::{meter::Meter, assess};\nlet x = crate::plot::draw();"),
        ["meter", "assess", "plot"]
    );
    assert!(imports("// use crate::cli::run;\n").is_empty());
}

/// The two faces never do arithmetic: no operator between numbers in `cli`.
#[test]
fn law_faces_do_no_arithmetic() {
    let face = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli");
    let mut files = Vec::new();
    source_files(&face, &mut files);
    assert!(files.len() > 8);
    for file in files {
        if file.ends_with("console.rs") {
            continue; // folds lines: counts characters, not amperes
        }
        let source = std::fs::read_to_string(&file).unwrap();
        for (number, line) in source.lines().enumerate() {
            let code = line.split("//").next().unwrap_or_default();
            for operator in [" * ", " / ", " - ", " + ", ".sqrt()", ".powf(", ".powi(", ".abs()"] {
                let text = code.contains('"') || code.trim_start().starts_with("+ ");
                assert!(
                    text || !code.contains(operator),
                    "{}:{}: arithmetic on a face: {line}",
                    file.display(),
                    number + 1
                );
            }
        }
    }
}
