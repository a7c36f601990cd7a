// Written by build.mjs from package.json.
#pragma once

static const char *const firmwareVersion = "0.1.0";
