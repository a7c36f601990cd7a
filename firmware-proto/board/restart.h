// The watchdog, and why the board started.
#pragma once

enum class RestartCause { ordinary, watchdog, brownout };

// Call first of all: reads the cause, stops a watchdog that is still running from before.
RestartCause restartCause();
void watchdogBegin();
void watchdogFeed();
