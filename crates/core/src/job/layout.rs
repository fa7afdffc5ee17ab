//! How a job file is laid out: whatever fits on a line stands on one line, so that a pick stays a pair and a measure a
//! row, and a change of one pick changes one line.

use serde_json::Value;

/// The widest line that is written, in characters, unless a single string is wider.
const WIDTH: usize = 120;

/// `tree` as text, ended by a line break. The outermost object always has a line for each key.
pub(super) fn laid_out(tree: &Value) -> String {
    let mut out = String::new();
    match tree {
        Value::Object(keys) if !keys.is_empty() => broken(tree, 0, &mut out),
        _ => out.push_str(&on_one_line(tree)),
    }
    out.push('\n');
    out
}

/// Appends `value`, on one line where it fits behind `column` characters already there.
fn put(value: &Value, depth: usize, column: usize, out: &mut String) {
    let line = on_one_line(value);
    // One more for the comma that may follow.
    if column + line.chars().count() < WIDTH {
        out.push_str(&line);
    } else {
        broken(value, depth, out);
    }
}

/// Appends `value` with a line for each of its parts.
fn broken(value: &Value, depth: usize, out: &mut String) {
    let indent = "  ".repeat(depth + 1);
    let parts: Vec<(String, &Value)> = match value {
        Value::Array(parts) if !parts.is_empty() => parts.iter().map(|part| (String::new(), part)).collect(),
        Value::Object(keys) if !keys.is_empty() => {
            keys.iter().map(|(key, part)| (format!("{}: ", quoted(key)), part)).collect()
        }
        single => return out.push_str(&on_one_line(single)),
    };
    let (open, close) = if value.is_array() { ('[', ']') } else { ('{', '}') };
    out.push(open);
    for (number, (key, part)) in parts.iter().enumerate() {
        out.push_str(if number == 0 { "\n" } else { ",\n" });
        out.push_str(&indent);
        out.push_str(key);
        put(part, depth + 1, indent.len() + key.chars().count(), out);
    }
    out.push('\n');
    out.push_str(&"  ".repeat(depth));
    out.push(close);
}

/// `value` on one line.
fn on_one_line(value: &Value) -> String {
    match value {
        Value::Array(parts) => {
            let parts: Vec<String> = parts.iter().map(on_one_line).collect();
            format!("[{}]", parts.join(", "))
        }
        Value::Object(keys) if keys.is_empty() => "{}".to_owned(),
        Value::Object(keys) => {
            let parts: Vec<String> =
                keys.iter().map(|(key, part)| format!("{}: {}", quoted(key), on_one_line(part))).collect();
            format!("{{ {} }}", parts.join(", "))
        }
        single => single.to_string(),
    }
}

fn quoted(key: &str) -> String {
    Value::String(key.to_owned()).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_parts_stay_on_a_line_and_long_ones_break() {
        let tree =
            serde_json::json!({ "b": [[1.0, 2.5], [3.0, 4.0]], "a": vec![[1111.5, 2222.5]; 10], "n": [], "o": {} });
        let text = laid_out(&tree);
        let expected_start = "{\n  \"b\": [[1.0, 2.5], [3.0, 4.0]],\n  \"a\": [\n    [1111.5, 2222.5],\n";
        assert!(text.starts_with(expected_start), "keys keep their order, pairs stay whole: {text}");
        assert!(text.ends_with("  ],\n  \"n\": [],\n  \"o\": {}\n}\n"), "empty parts, then a line break: {text}");
        assert!(text.lines().all(|line| line.len() <= WIDTH), "no line is too wide");
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), tree, "it is the same tree");
    }
}
