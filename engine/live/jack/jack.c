//go:build cgo && unix

// libjack, and the JACK client of this process.

#include "jack.h"

#include <dlfcn.h>
#include <stdatomic.h>
#include <time.h>

enum { no_start_server = 1, use_exact_name = 2 };   // options
enum { name_not_unique = 4 };                        // status

struct jack_functions jack;

static int loaded;

static void say_nothing(const char *message) { (void)message; }

static void load(void) {
	const char *const libraries[] = {"libjack.so.0", "libjack.so", "libjack.0.dylib"};
	void *library = NULL;
	for (unsigned i = 0; library == NULL && i < sizeof libraries / sizeof *libraries; i++)
		library = dlopen(libraries[i], RTLD_NOW | RTLD_GLOBAL);
	if (library == NULL)
		return;
#define FIND(name) if ((*(void **)&jack.name = dlsym(library, "jack_" #name)) == NULL) return
	FIND(client_open);
	FIND(client_close);
	FIND(activate);
	FIND(get_sample_rate);
	FIND(get_buffer_size);
	FIND(get_time);
	FIND(get_ports);
	FIND(free);
	FIND(port_by_name);
	FIND(port_flags);
	FIND(port_name);
	FIND(port_get_latency_range);
	FIND(port_register);
	FIND(port_unregister);
	FIND(port_get_buffer);
	FIND(connect);
	FIND(midi_get_event_count);
	FIND(midi_event_get);
	FIND(set_process_callback);
	FIND(set_xrun_callback);
	FIND(on_shutdown);
	FIND(is_realtime);
	FIND(client_real_time_priority);
	FIND(client_create_thread);
	FIND(set_error_function);
	FIND(set_info_function);
#undef FIND
	jack.set_error_function(say_nothing); // else every look for a server that is not there prints lines
	jack.set_info_function(say_nothing);
	loaded = 1;
}

static pthread_mutex_t sharing = PTHREAD_MUTEX_INITIALIZER;
static jack_client *shared;
static int users;
static atomic_int gone;

static _Atomic(jack_process *) turns[jack_turns];
static atomic_int running;
static atomic_uint periods;

static int process(uint32_t frames, void *argument) {
	(void)argument;
	atomic_store(&running, 1);
	atomic_fetch_add(&periods, 1);
	for (int i = 0; i < jack_turns; i++) {
		jack_process *p = atomic_load(&turns[i]);
		if (p != NULL)
			p->run(frames, p->argument);
	}
	atomic_store(&running, 0);
	return 0;
}

static int late(void *argument) {
	(void)argument;
	for (int i = 0; i < jack_turns; i++) {
		jack_process *p = atomic_load(&turns[i]);
		if (p != NULL && p->late != NULL)
			p->late(p->argument);
	}
	return 0;
}

static void server_gone(void *argument) {
	(void)argument;
	atomic_store(&gone, 1);
}

// open_client takes another name than its own where that is taken: at first at once, as another player may have it;
// later only when a server that stood still has not let go of our old client for a while.
static jack_client *open_client(const char *name) {
	enum { patience = 5 };
	static int refused = patience;
	int status = 0;
	jack_client *client = jack.client_open(name, no_start_server | (refused < patience ? use_exact_name : 0), &status);
	if (client == NULL) {
		refused += (status & name_not_unique) != 0;
		return NULL;
	}
	refused = 0;
	atomic_store(&gone, 0);
	jack.on_shutdown(client, server_gone, NULL);
	jack.set_xrun_callback(client, late, NULL);
	if (jack.set_process_callback(client, process, NULL) == 0 && jack.activate(client) == 0)
		return client;
	jack.client_close(client);
	return NULL;
}

jack_client *jack_take(const char *name) {
	static pthread_once_t once = PTHREAD_ONCE_INIT;
	pthread_once(&once, load);
	if (!loaded)
		return NULL;
	pthread_mutex_lock(&sharing);
	if (users == 0)
		shared = open_client(name);
	jack_client *taken = shared != NULL && !atomic_load(&gone) ? shared : NULL;
	if (taken != NULL)
		users++;
	pthread_mutex_unlock(&sharing);
	return taken;
}

void jack_release(void) {
	pthread_mutex_lock(&sharing);
	if (--users == 0) {
		jack.client_close(shared);
		shared = NULL;
	}
	pthread_mutex_unlock(&sharing);
}

int jack_ask(void) {
	pthread_mutex_lock(&sharing);
	if (jack_alive())
		return 1;
	pthread_mutex_unlock(&sharing);
	return 0;
}

void jack_asked(void) { pthread_mutex_unlock(&sharing); }

int jack_alive(void) { return !atomic_load(&gone); }

unsigned jack_periods(void) { return atomic_load(&periods); }

void jack_await_period(void) {
	static const struct timespec moment = {.tv_nsec = 5000000};
	unsigned before = atomic_load(&periods);
	for (int i = 0; i < 100 && jack_alive(); i++) {
		if (atomic_load(&periods) != before)
			return;
		nanosleep(&moment, NULL);
	}
	jack_abandon();
}

void jack_abandon(void) { atomic_store(&gone, 1); }

void jack_run(enum jack_turn turn, jack_process *process) {
	static const struct timespec moment = {.tv_nsec = 200000};
	atomic_store(&turns[turn], process);
	if (process == NULL)
		while (atomic_load(&running) && jack_alive())
			nanosleep(&moment, NULL);
}
