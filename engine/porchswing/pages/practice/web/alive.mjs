document.documentElement.className = "live";
