//! Turns text into what may stand in HTML or SVG: the one place of the book where characters are escaped.

/// A text as HTML content or as a double-quoted attribute's value.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + text.len() / 8);
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            _ => safe.push(c),
        }
    }
    safe
}

/// JSON that may stand inside a script element: no text in it can end the element.
pub fn script(value: &impl serde::Serialize) -> String {
    let json = serde_json::to_string(value).expect("plain data has a JSON form");
    json.replace('<', "\\u003c").replace("\u{2028}", "\\u2028").replace("\u{2029}", "\\u2029")
}

/// A text inside a double-quoted CSS string.
pub fn css_string(text: &str) -> String {
    let mut safe = String::new();
    for c in text.chars() {
        match c {
            '"' | '\\' | '<' | '>' | '&' => safe.push_str(&format!("\\{:x} ", c as u32)),
            c if c.is_control() => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

/// A name as part of a file name or an anchor: a space becomes `-`, and what is neither a letter, a digit, `-`, `_` nor `.` its
/// number, so that two ids never become one anchor.
pub fn slug(name: &str) -> String {
    let mut slug = String::with_capacity(name.len());
    for c in name.chars() {
        match c {
            c if c.is_alphanumeric() || matches!(c, '-' | '_' | '.') => slug.push(c),
            c if c.is_whitespace() => slug.push('-'),
            c => slug.push_str(&format!("~{:x}", c as u32)),
        }
    }
    slug
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_can_open_a_tag_or_end_an_attribute() {
        assert_eq!(escape(r#"<b a="x">&'"#), "&lt;b a=&quot;x&quot;&gt;&amp;&#39;");
    }

    #[test]
    fn no_text_can_end_a_script_or_a_css_string() {
        assert!(!script(&"</script>").contains("</"));
        assert_eq!(css_string(r#"a"b\c"#), r"a\22 b\5c c");
        assert!(!css_string("</style>").contains('<'));
    }

    #[test]
    fn anchors_have_no_spaces() {
        assert_eq!(slug("K4 30/87"), "K4-30~2f87");
        assert_ne!(slug("Q/1"), slug("Q-1"));
    }
}
