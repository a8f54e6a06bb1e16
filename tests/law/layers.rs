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

/// A source without its remarks, and with nothing between the quotes of its texts.
fn code_of(source: &str) -> String {
    let mut code = String::with_capacity(source.len());
    let mut rest = source.chars().peekable();
    while let Some(character) = rest.next() {
        match character {
            '/' if rest.peek() == Some(&'/') => {
                while rest.peek().is_some_and(|next| *next != '\n') {
                    rest.next();
                }
            }
            '"' => {
                code.push('"');
                while let Some(inner) = rest.next() {
                    match inner {
                        // An escaped newline stays, so that lines keep their numbers.
                        '\\' => code.extend(rest.next().filter(|c| *c == '\n')),
                        '\n' => code.push('\n'),
                        '"' => break,
                        _ => {}
                    }
                }
                code.push('"');
            }
            // A character that is itself a quote or an escape; a lifetime has no closing quote.
            '\'' => {
                code.push('\'');
                let ahead: Vec<char> = rest.clone().take(3).collect();
                let length = match ahead.as_slice() {
                    ['\\', _, '\''] => 3,
                    [_, '\'', ..] => 2,
                    _ => 0,
                };
                for _ in 0..length {
                    rest.next();
                }
            }
            other => code.push(other),
        }
    }
    code
}

/// Every layer named in a path from the root of the crate, also in braces
/// (`use crate::{a, b::c}`), and also by climbing out of its own layer: `depth` is how many
/// `super::` lead from the file's module to the root.
fn imports(source: &str, depth: usize) -> Vec<String> {
    let code = code_of(source);
    let climbing = "super::".repeat(depth);
    let mut found = Vec::new();
    let mut roots = vec!["crate::".to_owned()];
    if depth > 0 {
        roots.push(climbing);
    }
    for root in roots {
        for (at, _) in code.match_indices(&root) {
            let before = &code[..at];
            // A longer path ends here: `$crate::`, or a climb that began earlier.
            if before.ends_with("super::") || before.ends_with('$') {
                continue;
            }
            found.extend(first_names(&code[at + root.len()..]));
        }
    }
    found
}

/// The first names of a path or of the paths in braces.
fn first_names(rest: &str) -> Vec<String> {
    let mut paths = Vec::new();
    if let Some(group) = rest.strip_prefix('{') {
        let mut depth = 0;
        let mut item = String::new();
        for c in group.chars() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => paths.push(std::mem::take(&mut item)),
                _ if depth == 0 => item.push(c),
                _ => {}
            }
        }
        paths.push(item);
    } else {
        paths.push(rest.to_owned());
    }
    paths
        .iter()
        .map(|path| path.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect())
        .filter(|name: &String| !name.is_empty())
        .collect()
}

/// How many `super::` lead from the module of a file (its path below `src`) to the root.
fn depth(relative: &Path) -> usize {
    let parts = relative.components().count();
    let is_folder = relative.file_name().is_some_and(|name| name == "mod.rs");
    let is_root = relative == Path::new("lib.rs") || relative == Path::new("main.rs");
    if is_root { 0 } else { parts - usize::from(is_folder) }
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
        for import in imports(&std::fs::read_to_string(&file).unwrap(), depth(relative)) {
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

/// The check itself can fail: it sees an upward import, in braces and by climbing too.
#[test]
fn law_the_layer_check_sees_imports() {
    assert_eq!(imports("use crate::cli::run;", 1), ["cli"]);
    assert_eq!(
        imports("use crate::{meter::Meter, assess};\nlet x = crate::plot::draw();", 1),
        ["meter", "assess", "plot"]
    );
    assert!(imports("// use crate::cli::run;\n", 1).is_empty());
    assert!(imports("let text = \"crate::cli\";", 1).is_empty());
    assert_eq!(imports("use super::super::cli::run;", 2), ["cli"]);
    assert_eq!(imports("use super::super::{cli, web::x};", 2), ["cli", "web"]);
    assert!(imports("use super::super::neighbour;", 3).is_empty());
    assert!(imports("use super::neighbour;", 2).is_empty());
    assert_eq!(depth(Path::new("meter/mod.rs")), 1);
    assert_eq!(depth(Path::new("meter/reading.rs")), 2);
    assert_eq!(depth(Path::new("circuit/flow/firing.rs")), 3);
}

/// What would be arithmetic on a line without remarks and texts. A sum of texts begins or follows a
/// text, and a count of columns is no ampere.
fn arithmetic(line: &str) -> Option<&'static str> {
    const OPERATORS: [&str; 13] = [
        " * ", " / ", " % ", " - ", " + ", " += ", " -= ", " *= ", " /= ", ".sqrt()", ".powf(",
        ".powi(", ".abs()",
    ];
    OPERATORS.into_iter().find(|operator| {
        let Some(at) = line.find(operator) else { return false };
        let (left, right) = (line[..at].trim(), line[at + operator.len()..].trim());
        let joins_texts = matches!(*operator, " + " | " += ")
            && (left.ends_with('"')
                || right.starts_with('"')
                || right.starts_with("&")
                || ["text", "lines", "words"].contains(&left));
        // Traits are written with small letters in them, numbers never.
        let is_trait = |name: Option<&str>| {
            name.is_some_and(|name| {
                name.starts_with(char::is_uppercase) && name.contains(char::is_lowercase)
            })
        };
        let names = |text: &'static str| move |c: char| !(c.is_alphanumeric() || text.contains(c));
        let before = left.rsplit(names("_")).next();
        let after = right.split(names("_")).next();
        let is_after_bound = left.contains("impl ") || left.contains("dyn ") || is_trait(before);
        let is_bound = *operator == " + "
            && is_after_bound
            && (is_trait(after) || right.starts_with("'static") || right.starts_with("use<"));
        !(joins_texts || is_bound)
    })
}

/// The two faces never do arithmetic: no operator between numbers in `cli` and `web`.
#[test]
fn law_faces_do_no_arithmetic() {
    let mut files = Vec::new();
    for face in ["src/cli", "src/web"] {
        let before = files.len();
        source_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join(face), &mut files);
        assert!(files.len() - before > 8, "{face}");
    }
    for file in files {
        if file.ends_with("console.rs") || file.ends_with("table.rs") {
            continue; // fold lines and squeeze columns: they count characters, not amperes
        }
        let code = code_of(&std::fs::read_to_string(&file).unwrap());
        for (number, line) in code.lines().enumerate() {
            assert_eq!(
                arithmetic(line),
                None,
                "{}:{}: arithmetic on a face: {line}",
                file.display(),
                number + 1
            );
        }
    }
}

/// The check itself can fail: a text on the line hides nothing.
#[test]
fn law_the_arithmetic_check_sees_operators() {
    for line in [
        "let error_a = shown_a - true_a;",
        "print(\"x\", shown_a * 2.0);",
        "sum_a += value_a;",
        "rest = number % 2;",
        "(a / b).sqrt()",
    ] {
        assert!(arithmetic(&code_of(line)).is_some(), "{line}");
    }
    for line in [
        "text += \"In short\";",
        "text += &folded(\"a - b\", \"  \");",
        "let x = 'a'; // a - b",
        "known: impl Fn() + Copy",
    ] {
        assert_eq!(arithmetic(&code_of(line)), None, "{line}");
    }
}
