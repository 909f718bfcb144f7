document.documentElement.className = "live waking";
