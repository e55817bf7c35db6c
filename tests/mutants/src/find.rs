//! Where a source file can be changed in one small way: every mutant as a span and the text that stands there instead.

use proc_macro2::Span;
use std::collections::HashMap;
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{BinOp, Expr, Item, ItemFn, Pat, ReturnType, Stmt, Type, UnOp};

/// How a mutant is put into the source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// An expression: one of two is worked out.
    Expression,
    /// A whole statement: done or not done.
    Statement,
    /// The beginning of a function's body: leaves at once.
    Body,
}

/// One small change.
#[derive(Clone, Debug)]
pub struct Mutant {
    /// Below the core's `src`.
    pub file: String,
    /// Line of the beginning, from one.
    pub line: usize,
    /// Type and function.
    pub function: String,
    /// Bytes of the source.
    pub span: Range<usize>,
    pub place: Place,
    /// What stands there, in one line.
    pub from: String,
    /// What stands there instead.
    pub to: String,
    /// Which of the same changes in the same function, from one.
    pub nth: usize,
}

impl Mutant {
    /// What does not change when lines move.
    pub fn name(&self) -> String {
        let Self {
            file,
            function,
            from,
            to,
            nth,
            ..
        } = self;
        let to = if to.is_empty() {
            "nothing".to_owned()
        } else {
            one_line(to)
        };
        format!("{file} {function}: {from} -> {to} #{nth}")
    }
}

/// All mutants of a file. `quantities` are newtypes with a `new` of one number.
///
/// # Errors
/// The file is no Rust.
pub fn mutants(file: &str, source: &str, quantities: &[String]) -> Result<Vec<Mutant>, syn::Error> {
    let tree = syn::parse_file(source)?;
    let mut finder = Finder {
        file,
        source,
        quantities,
        path: Vec::new(),
        inside: false,
        found: Vec::new(),
    };
    finder.visit_file(&tree);
    let mut seen = HashMap::new();
    for mutant in &mut finder.found {
        let same = (
            mutant.function.clone(),
            mutant.from.clone(),
            mutant.to.clone(),
        );
        let count = seen.entry(same).or_insert(0);
        *count += 1;
        mutant.nth = *count;
    }
    Ok(finder.found)
}

struct Finder<'a> {
    file: &'a str,
    source: &'a str,
    quantities: &'a [String],
    path: Vec<String>,
    /// In a function, and not in a constant.
    inside: bool,
    found: Vec<Mutant>,
}

/// Left out: tests, and what only tests turn on.
fn left_out(attributes: &[syn::Attribute]) -> bool {
    attributes
        .iter()
        .any(|a| a.path().is_ident("cfg") || a.path().is_ident("test"))
}

fn has_let(expression: &Expr) -> bool {
    match expression {
        Expr::Let(_) => true,
        Expr::Binary(b) => has_let(&b.left) || has_let(&b.right),
        Expr::Paren(p) => has_let(&p.expr),
        _ => false,
    }
}

/// A name that a pattern binds would be missing elsewhere.
fn binds(pattern: &Pat) -> bool {
    struct Names(bool);
    impl<'a> Visit<'a> for Names {
        fn visit_pat_ident(&mut self, ident: &'a syn::PatIdent) {
            // A lone upper-case name is a constant.
            self.0 |= ident
                .ident
                .to_string()
                .starts_with(|c: char| c.is_lowercase() || c == '_');
        }
        fn visit_field_pat(&mut self, _: &'a syn::FieldPat) {
            self.0 = true;
        }
    }
    let mut names = Names(false);
    names.visit_pat(pattern);
    names.0
}

/// Methods whose answer is yes or no.
const QUESTIONS: [&str; 10] = [
    "is_some",
    "is_none",
    "is_ok",
    "is_err",
    "is_some_and",
    "is_none_or",
    "is_nan",
    "is_finite",
    "contains",
    "is_empty",
];

/// Methods and functions of two numbers, and what they are taken for.
const SWAPPED: [(&str, &str); 8] = [
    ("wrapping_add", "wrapping_sub"),
    ("wrapping_sub", "wrapping_add"),
    ("saturating_add", "saturating_sub"),
    ("saturating_sub", "saturating_add"),
    ("wrapping_shl", "wrapping_shr"),
    ("wrapping_shr", "wrapping_shl"),
    ("math::min", "math::max"),
    ("math::max", "math::min"),
];

const fn others(op: &BinOp) -> &'static [&'static str] {
    match op {
        BinOp::Add(_) => &["-"],
        BinOp::Sub(_) => &["+"],
        BinOp::Mul(_) => &["/"],
        BinOp::Div(_) | BinOp::Rem(_) => &["*"],
        BinOp::And(_) => &["||"],
        BinOp::Or(_) => &["&&"],
        BinOp::BitAnd(_) => &["|"],
        BinOp::BitOr(_) => &["&"],
        BinOp::BitXor(_) => &["&"],
        BinOp::Eq(_) => &["!="],
        BinOp::Ne(_) => &["=="],
        BinOp::Lt(_) => &["<=", ">="],
        BinOp::Le(_) => &["<", ">"],
        BinOp::Gt(_) => &[">=", "<="],
        BinOp::Ge(_) => &[">", "<"],
        BinOp::AddAssign(_) => &["-="],
        BinOp::SubAssign(_) => &["+="],
        BinOp::MulAssign(_) => &["/="],
        BinOp::DivAssign(_) => &["*="],
        BinOp::BitAndAssign(_) => &["|="],
        BinOp::BitOrAssign(_) => &["&="],
        _ => &[],
    }
}

impl Finder<'_> {
    fn text(&self, span: Span) -> &str {
        &self.source[span.byte_range()]
    }

    fn add(&mut self, span: Span, place: Place, to: String) {
        let from = if place == Place::Body {
            "body".to_owned()
        } else {
            one_line(self.text(span))
        };
        self.found.push(Mutant {
            file: self.file.to_owned(),
            line: span.start().line,
            function: self.path.join("::"),
            span: span.byte_range(),
            place,
            from,
            to,
            nth: 0,
        });
    }

    /// The expression with the bytes of `part` taken for others.
    fn with(&self, whole: Span, part: Span, other: &str) -> String {
        let (whole, part) = (whole.byte_range(), part.byte_range());
        format!(
            "{}{other}{}",
            &self.source[whole.start..part.start],
            &self.source[part.end..whole.end]
        )
    }

    fn body(&mut self, signature: &syn::Signature, block: &syn::Block) {
        if block.stmts.is_empty() {
            return;
        }
        for value in self.values(&signature.output) {
            let span = block.brace_token.span.open();
            self.add(span, Place::Body, value);
        }
    }

    /// Values of a type that a function may give at once.
    fn values(&self, output: &ReturnType) -> Vec<String> {
        let ReturnType::Type(_, of) = output else {
            return vec!["return".to_owned()];
        };
        let Type::Path(path) = &**of else {
            return Vec::new();
        };
        let Some(last) = path.path.segments.last() else {
            return Vec::new();
        };
        let name = last.ident.to_string();
        let values: &[&str] = match name.as_str() {
            "bool" => &["true", "false"],
            "f32" => &["0.0", "1.0"],
            "u8" | "u16" | "u32" | "u64" | "i16" | "i32" | "i64" | "usize" => &["0", "1"],
            "Option" => &["None"],
            _ if self.quantities.contains(&name) => {
                let path = one_line(self.text(path.span()));
                return ["0.0", "1.0"]
                    .iter()
                    .map(|n| format!("return {path}::new({n})"))
                    .collect();
            }
            _ => &[],
        };
        values
            .iter()
            .map(|value| format!("return {value}"))
            .collect()
    }

    fn function(&mut self, name: String, signature: &syn::Signature, block: &syn::Block) {
        self.path.push(name);
        let before = std::mem::replace(&mut self.inside, true);
        self.body(signature, block);
        self.visit_block(block);
        self.inside = before;
        self.path.pop();
    }

    fn condition(&mut self, condition: &Expr) {
        if matches!(condition, Expr::Path(_) | Expr::Field(_)) {
            let to = format!("!({})", self.text(condition.span()));
            self.add(condition.span(), Place::Expression, to);
        }
    }

    fn question(&mut self, span: Span) {
        let to = format!("!({})", self.text(span));
        self.add(span, Place::Expression, to);
    }
}

impl<'a> Visit<'a> for Finder<'_> {
    fn visit_item(&mut self, item: &'a Item) {
        let skipped = match item {
            Item::Mod(m) => left_out(&m.attrs),
            Item::Fn(f) => left_out(&f.attrs),
            Item::Impl(i) => left_out(&i.attrs),
            Item::Const(_) | Item::Static(_) | Item::Enum(_) | Item::Macro(_) => true,
            _ => false,
        };
        if !skipped {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_impl(&mut self, of: &'a syn::ItemImpl) {
        let name = one_line(self.text(of.self_ty.span()));
        // What only a debugger or a message sees.
        let quiet = of.trait_.as_ref().is_some_and(|(_, path, _)| {
            path.segments
                .last()
                .is_some_and(|s| s.ident == "Debug" || s.ident == "Display")
        });
        if !quiet {
            self.path.push(name);
            visit::visit_item_impl(self, of);
            self.path.pop();
        }
    }

    fn visit_impl_item_const(&mut self, _: &'a syn::ImplItemConst) {}

    fn visit_item_fn(&mut self, f: &'a ItemFn) {
        self.function(f.sig.ident.to_string(), &f.sig, &f.block);
    }

    fn visit_impl_item_fn(&mut self, f: &'a syn::ImplItemFn) {
        if !left_out(&f.attrs) {
            self.function(f.sig.ident.to_string(), &f.sig, &f.block);
        }
    }

    fn visit_stmt(&mut self, stmt: &'a Stmt) {
        if let Stmt::Local(local) = stmt
            && left_out(&local.attrs)
        {
            return;
        }
        if let Stmt::Expr(expression, Some(_)) = stmt
            && self.inside
            && match expression {
                Expr::Assign(_) | Expr::MethodCall(_) | Expr::Call(_) => true,
                Expr::Binary(b) => others(&b.op)
                    .first()
                    .is_some_and(|op| op.len() == 2 && op.ends_with('=')),
                _ => false,
            }
        {
            self.add(stmt.span(), Place::Statement, String::new());
        }
        visit::visit_stmt(self, stmt);
    }

    fn visit_expr(&mut self, expression: &'a Expr) {
        if !self.inside {
            visit::visit_expr(self, expression);
            return;
        }
        let span = expression.span();
        match expression {
            Expr::Binary(b) if !has_let(expression) => {
                for other in others(&b.op) {
                    let to = self.with(span, b.op.span(), other);
                    self.add(span, Place::Expression, to);
                }
            }
            // Twice, for the operand may be a reference.
            Expr::Unary(u) if matches!(u.op, UnOp::Not(_) | UnOp::Neg(_)) => {
                let to = format!("{}({})", self.text(u.op.span()), self.text(span));
                self.add(span, Place::Expression, to);
            }
            Expr::Lit(syn::ExprLit {
                lit: syn::Lit::Bool(b),
                ..
            }) => {
                self.add(span, Place::Expression, (!b.value).to_string());
            }
            Expr::MethodCall(call) => {
                let method = call.method.to_string();
                if QUESTIONS.contains(&method.as_str()) {
                    self.question(span);
                }
                if let Some((_, other)) = SWAPPED.iter().find(|(name, _)| *name == method) {
                    let to = self.with(span, call.method.span(), other);
                    self.add(span, Place::Expression, to);
                }
            }
            Expr::Call(call) => {
                let function = one_line(self.text(call.func.span()));
                if let Some((_, other)) = SWAPPED.iter().find(|(name, _)| *name == function) {
                    let to = self.with(span, call.func.span(), other);
                    self.add(span, Place::Expression, to);
                }
            }
            Expr::If(i) => self.condition(&i.cond),
            Expr::Match(m) => self.arms(m),
            Expr::Macro(m) if m.mac.path.is_ident("matches") => {
                self.question(span);
                self.alternatives(span, &m.mac);
            }
            _ => {}
        }
        visit::visit_expr(self, expression);
    }
}

impl Finder<'_> {
    /// A guard that always or never holds; an arm that answers as the next one does.
    fn arms(&mut self, m: &syn::ExprMatch) {
        for arm in &m.arms {
            if let Some((_, guard)) = &arm.guard
                && !has_let(guard)
            {
                for to in ["true", "false"] {
                    self.add(guard.span(), Place::Expression, to.to_owned());
                }
            }
        }
        for (arm, next) in m.arms.iter().zip(m.arms.iter().cycle().skip(1)) {
            let (from, to) = (self.text(arm.body.span()), self.text(next.body.span()));
            if m.arms.len() > 1 && !binds(&next.pat) && from != to {
                let to = to.to_owned();
                self.add(arm.body.span(), Place::Expression, to);
            }
        }
    }

    /// `matches!` without one of its alternatives.
    fn alternatives(&mut self, span: Span, mac: &syn::Macro) {
        let parsed = mac.parse_body_with(|input: syn::parse::ParseStream| {
            let of: Expr = input.parse()?;
            let _: syn::Token![,] = input.parse()?;
            let pattern = Pat::parse_multi_with_leading_vert(input)?;
            Ok((of, pattern, input.is_empty()))
        });
        let Ok((of, pattern, true)) = parsed else {
            return;
        };
        let mut lists = Vec::new();
        // `Some(A | B)` too.
        match &pattern {
            Pat::Or(or) => lists.push(or),
            Pat::TupleStruct(t) => lists.extend(t.elems.iter().filter_map(|p| match p {
                Pat::Or(or) => Some(or),
                _ => None,
            })),
            _ => {}
        }
        let of = self.text(of.span()).to_owned();
        for list in lists {
            for left in &list.cases {
                let rest: Vec<&str> = list
                    .cases
                    .iter()
                    .filter(|case| case.span().byte_range() != left.span().byte_range())
                    .map(|case| self.text(case.span()))
                    .collect();
                let pattern = self.with(pattern.span(), list.span(), &rest.join(" | "));
                self.add(
                    span,
                    Place::Expression,
                    format!("matches!({of}, {pattern})"),
                );
            }
        }
    }
}

/// A source text in one line, single spaces.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
