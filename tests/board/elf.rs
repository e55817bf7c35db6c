//! As much of an ELF file (System V ABI, 32 bits, little-endian) as the image is asked for: sections, functions, their stack.

use std::collections::{BTreeMap, BTreeSet};

pub struct Section {
    pub name: String,
    /// Takes memory on the target.
    pub allocated: bool,
    /// Its bytes stand in the file, and so in the flash.
    pub stored: bool,
    pub address: u32,
    pub size: u32,
    bytes: Vec<u8>,
}

pub struct Function {
    pub name: String,
    pub address: u32,
    pub size: u32,
    /// Bytes of stack that it takes, where the compiler said so.
    pub stack: u32,
}

pub struct Image {
    pub sections: Vec<Section>,
    pub symbols: Vec<String>,
    pub functions: Vec<Function>,
}

fn word(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes"))
}

fn half(bytes: &[u8], at: usize) -> u16 {
    u16::from_le_bytes(bytes[at..at + 2].try_into().expect("two bytes"))
}

fn text(bytes: &[u8], at: u32) -> String {
    let rest = &bytes[at as usize..];
    let end = rest.iter().position(|byte| *byte == 0).expect("its end");
    String::from_utf8_lossy(&rest[..end]).into_owned()
}

impl Image {
    pub fn read(bytes: &[u8]) -> Self {
        assert_eq!(&bytes[..6], b"\x7fELF\x01\x01", "32 bits, little-endian");
        let (table, count) = (word(bytes, 32) as usize, usize::from(half(bytes, 48)));
        let header = |index: usize| &bytes[table + 40 * index..][..40];
        let body = |header: &[u8]| {
            let (offset, size) = (word(header, 16) as usize, word(header, 20) as usize);
            // A section without bytes in the file: zeros at power-up.
            let none = word(header, 4) == 8;
            if none {
                Vec::new()
            } else {
                bytes[offset..offset + size].to_vec()
            }
        };
        let names = body(header(usize::from(half(bytes, 50))));
        let sections: Vec<Section> = (0..count)
            .map(header)
            .map(|header| Section {
                name: text(&names, word(header, 0)),
                allocated: word(header, 8) & 2 != 0,
                stored: word(header, 4) != 8,
                address: word(header, 12),
                size: word(header, 20),
                bytes: body(header),
            })
            .collect();
        let mut image = Self {
            sections,
            symbols: Vec::new(),
            functions: Vec::new(),
        };
        image.take_symbols();
        image
    }

    pub fn section(&self, name: &str) -> &Section {
        let found = self.sections.iter().find(|section| section.name == name);
        found.unwrap_or_else(|| panic!("the image has no section {name}"))
    }

    fn take_symbols(&mut self) {
        let frames = self.frames();
        let strings = &self.section(".strtab").bytes;
        let mut functions = BTreeMap::new();
        let mut symbols = Vec::new();
        for symbol in self.section(".symtab").bytes.chunks_exact(16) {
            let name = text(strings, word(symbol, 0));
            // Thumb code has the lowest bit set.
            let address = word(symbol, 4) & !1;
            if symbol[12] & 15 == 2 && word(symbol, 8) > 0 {
                let function = Function {
                    name: name.clone(),
                    address,
                    size: word(symbol, 8),
                    stack: frames.get(&address).copied().unwrap_or_default(),
                };
                functions.insert(address, function);
            }
            symbols.push(name);
        }
        self.symbols = symbols;
        self.functions = functions.into_values().collect();
    }

    /// The compiler's own list: an address, and bytes of stack as LEB128.
    fn frames(&self) -> BTreeMap<u32, u32> {
        let mut bytes = self.section(".stack_sizes").bytes.as_slice();
        let mut frames = BTreeMap::new();
        while bytes.len() > 4 {
            let address = word(bytes, 0) & !1;
            let length = 1 + bytes[4..].iter().position(|b| b & 0x80 == 0).expect("end");
            let size = bytes[4..4 + length]
                .iter()
                .rev()
                .fold(0, |sum, byte| sum << 7 | u32::from(byte & 0x7F));
            frames.insert(address, size);
            bytes = &bytes[4 + length..];
        }
        frames
    }

    fn function_at(&self, address: u32) -> Option<usize> {
        let behind = self.functions.partition_point(|f| f.address <= address);
        let index = behind.checked_sub(1)?;
        let function = self.functions.get(index)?;
        (address < function.address + function.size).then_some(index)
    }

    /// What each function calls or jumps into by name, and whether it calls through a pointer.
    fn calls(&self) -> Vec<(BTreeSet<usize>, bool)> {
        let code = self.section(".text");
        let all = self.functions.iter().enumerate();
        all.map(|(own, function)| {
            let (mut calls, mut through) = (BTreeSet::new(), false);
            let start = (function.address - code.address) as usize;
            let mut at = start;
            while at + 2 <= start + function.size as usize {
                let first = half(&code.bytes, at);
                // Thumb-2: what begins with these bits is four bytes long. BLX of a register, and BX of one that is not the way back.
                if first >> 11 < 0b11101 {
                    through |= first & 0xFF87 == 0x4780;
                    at += 2;
                    continue;
                }
                let second = half(&code.bytes, at + 2);
                if let Some(to) = branch(code.address + at as u32, first, second)
                    && let Some(called) = self.function_at(to)
                    && (called != own || second & 0x4000 != 0)
                {
                    calls.insert(called);
                }
                at += 4;
            }
            (calls, through)
        })
        .collect()
    }

    /// Bytes of the functions that are reached from some by name, those with it, and not by way of others.
    pub fn reached(&self, from: &[&str], not_by: &[&str]) -> u32 {
        let calls = self.calls();
        let is = |at: usize, names: &[&str]| {
            let name = &self.functions[at].name;
            names.iter().any(|part| name.contains(part))
        };
        let mut open: Vec<usize> = (0..self.functions.len())
            .filter(|at| is(*at, from) && !is(*at, not_by))
            .collect();
        assert!(!open.is_empty(), "the image has none of {from:?}");
        let mut reached: BTreeSet<usize> = open.iter().copied().collect();
        while let Some(at) = open.pop() {
            for called in &calls[at].0 {
                if !is(*called, not_by) && reached.insert(*called) {
                    open.push(*called);
                }
            }
        }
        reached.iter().map(|at| self.functions[*at].size).sum()
    }

    /// The deepest chain of calls from a function, bytes and names, and which functions call through a pointer, whose depth is not in it.
    pub fn deepest(&self, from: &str) -> (u32, Vec<&str>, Vec<&str>) {
        let calls = self.calls();
        let begin = self.functions.iter().position(|f| f.name.contains(from));
        let begin = begin.unwrap_or_else(|| panic!("the image has no function {from}"));
        let mut known = BTreeMap::new();
        self.depth(begin, &calls, &mut known, &mut Vec::new());
        let name = |index: usize| self.functions[index].name.as_str();
        let (mut path, mut at) = (vec![name(begin)], begin);
        while let Some(next) = known[&at].1 {
            path.push(name(next));
            at = next;
        }
        let reached = known.keys().filter(|index| calls[**index].1);
        (known[&begin].0, path, reached.map(|i| name(*i)).collect())
    }

    fn depth(
        &self,
        at: usize,
        calls: &[(BTreeSet<usize>, bool)],
        known: &mut BTreeMap<usize, (u32, Option<usize>)>,
        way: &mut Vec<usize>,
    ) -> u32 {
        if let Some((depth, _)) = known.get(&at) {
            return *depth;
        }
        let name = &self.functions[at].name;
        assert!(!way.contains(&at), "{name} calls itself: no bound");
        way.push(at);
        let mut most = (0, None);
        for called in &calls[at].0 {
            let depth = self.depth(*called, calls, known, way);
            if most.1.is_none() || depth > most.0 {
                most = (depth, Some(*called));
            }
        }
        way.pop();
        let depth = self.functions[at].stack + most.0;
        known.insert(at, (depth, most.1));
        depth
    }
}

/// Where a four-byte branch goes that names its target: BL (Arm, ARMv7-M architecture reference manual, A7.7.18) and B.W (A7.7.12, T4).
fn branch(at: u32, first: u16, second: u16) -> Option<u32> {
    let long = first >> 11 == 0b11110 && second & 0x9000 == 0x9000;
    if !long {
        return None;
    }
    let bit = |of: u16, n: u32| u32::from(of >> n & 1);
    let sign = bit(first, 10);
    let high = (1 ^ bit(second, 13) ^ sign) << 23 | (1 ^ bit(second, 11) ^ sign) << 22;
    let low = u32::from(first & 0x3FF) << 12 | u32::from(second & 0x7FF) << 1;
    // Sign and extend 25 bits.
    let offset = ((sign << 24 | high | low) << 7).cast_signed() >> 7;
    Some(at.wrapping_add(4).wrapping_add_signed(offset))
}
