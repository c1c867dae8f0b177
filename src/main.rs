//! Hands over to the command line and ends with its exit code.

fn main() -> std::process::ExitCode {
    windrow::cli::share_one_heap();
    windrow::cli::on_stop(|exit| std::process::exit(exit.code().into()));
    windrow::cli::run(std::env::args_os()).into()
}
