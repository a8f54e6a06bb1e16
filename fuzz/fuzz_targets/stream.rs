#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| loopcrest_fuzz::stream(data));
