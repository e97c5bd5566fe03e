"""Reading TBX files: `opening` opens one safely, `foreign` reads what other systems write."""
